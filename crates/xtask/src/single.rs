//! The page as one file that runs by a double click: code, style, icon and wasm inside, each allowed by its hash.

use crate::bindings::WASM;
use crate::html::{self, Kind, Tag};
use crate::places::Places;
use crate::say::{done, stop};
use crate::{page, policy};
use anyhow::{Context, Result};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use sha2::{Digest, Sha256};
use std::path::Path;

/// Where the page looks for the module before it asks a server.
const WASM_ID: &str = "bledsteam-wasm";
/// Folder of the guide's pictures, and where the page looks for each, by its file's name.
const GUIDE: &str = "guide";

/// Writes the single file from the built page.
///
/// # Errors
/// When the built page is missing or holds what cannot be put into one file.
pub fn write(places: &Places) -> Result<()> {
    let out = places.www_out();
    let file = places.single_file();
    let index = read(&out.join("index.html"))?;
    let mut carried = pictures(&out)?;
    carried.extend(page::WORKERS.map(String::from));
    let text = assemble(&index, &carried, &mut |path| {
        std::fs::read(out.join(path)).with_context(|| format!("reading {}", places.shown(&out.join(path))))
    })?;
    if let Some(parent) = file.parent() {
        std::fs::create_dir_all(parent).with_context(|| format!("creating {}", parent.display()))?;
    }
    std::fs::write(&file, &text).with_context(|| format!("writing {}", places.shown(&file)))?;
    done("package", &format!("{} ({} kB), opened by a double click", places.shown(&file), text.len() / 1000));
    Ok(())
}

/// The guide's pictures as paths below the built page, in order.
fn pictures(out: &Path) -> Result<Vec<String>> {
    let folder = out.join(GUIDE);
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut found: Vec<String> = folder
        .read_dir()
        .with_context(|| format!("reading {}", folder.display()))?
        .flatten()
        .map(|entry| format!("{GUIDE}/{}", entry.file_name().to_string_lossy()))
        .filter(|path| path.ends_with(".jpg"))
        .collect();
    found.sort();
    Ok(found)
}

fn read(path: &Path) -> Result<String> {
    std::fs::read_to_string(path).with_context(|| format!("reading {}", path.display()))
}

/// Puts what the page's tags name in their place, what is `carried` beside it as text under its path, the module before them, and the policy first of all.
fn assemble(
    index: &str,
    carried: &[String],
    read: &mut dyn FnMut(&str) -> Result<Vec<u8>>,
) -> Result<String> {
    let mut scripts = Vec::new();
    let mut styles = Vec::new();
    let mut body = String::new();
    let mut at = 0;
    for Tag { kind, path, range } in html::tags(index)? {
        body.push_str(&index[at..range.start]);
        at = range.end;
        match kind {
            Kind::Style => {
                let style = safe_style(&text(&path, read(&path)?)?);
                body.push_str(&format!("<style>{style}</style>"));
                styles.push(hash(&style));
            }
            Kind::Script => {
                let script = safe_script(&text(&path, read(&path)?)?);
                body.push_str(&format!("<script type=\"module\">{script}</script>"));
                scripts.push(hash(&script));
            }
            Kind::Icon => {
                let mime = policy::mime(Path::new(&path)).unwrap_or("image/png");
                let data = STANDARD.encode(read(&path)?);
                body.push_str(&format!("<link rel=\"icon\" href=\"data:{mime};base64,{data}\">"));
            }
            // A page from the disk is not installed.
            Kind::Manifest => {}
        }
    }
    body.push_str(&index[at..]);
    // In the head, since the page may replace its whole body. The encoding must be said in the first kilobyte, the
    // policy before anything that it governs. The first such tag: code further on may hold the same word.
    let head = body
        .find("<head>")
        .map(|i| i + "<head>".len())
        .ok_or_else(|| stop("www/index.html has no <head>", "write the tag out, without attributes"))?;
    let wasm = STANDARD.encode(read(WASM)?);
    let mut inside = String::new();
    for path in carried {
        let data = STANDARD.encode(read(path)?);
        inside.push_str(&format!("\n<script type=\"text/plain\" id=\"{path}\">{data}</script>"));
    }
    let first = format!(
        "<meta charset=\"utf-8\"><meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n\
         <script type=\"text/plain\" id=\"{WASM_ID}\">{wasm}</script>{inside}",
        policy::single_file(&scripts, &styles)
    );
    body.insert_str(head, &first);
    Ok(body)
}

fn text(path: &str, bytes: Vec<u8>) -> Result<String> {
    String::from_utf8(bytes).map_err(|_| stop(format!("{path} is not UTF-8"), "save it as UTF-8"))
}

fn hash(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text))
}

/// A script's text that cannot end its element: the parts that could stand in strings, regular expressions and
/// comments only, where the backslash changes nothing.
fn safe_script(text: &str) -> String {
    let text = replace_ignoring_case(text, "</script", |found| format!("<\\/{}", &found[2..]));
    text.replace("<!--", "<\\!--")
}

fn safe_style(text: &str) -> String {
    replace_ignoring_case(text, "</style", |found| format!("<\\/{}", &found[2..]))
}

fn replace_ignoring_case(text: &str, what: &str, with: impl Fn(&str) -> String) -> String {
    // ASCII only, so that the positions are those of the text itself.
    let lower = text.to_ascii_lowercase();
    let mut result = String::with_capacity(text.len());
    let mut at = 0;
    while let Some(start) = lower[at..].find(what).map(|i| at + i) {
        let end = start + what.len();
        result.push_str(&text[at..start]);
        result.push_str(&with(&text[start..end]));
        at = end;
    }
    result.push_str(&text[at..]);
    result
}

#[cfg(test)]
mod tests {
    use super::*;

    const INDEX: &str = "<!doctype html><html><head><link rel=\"stylesheet\" href=\"s.css\">\
        <link rel=\"icon\" href=\"i.svg\"><link rel=\"manifest\" href=\"m.webmanifest\">\
        <script type=\"module\" src=\"m.js\"></script></head><body>Ünicode</body></html>";

    fn files(path: &str) -> Result<Vec<u8>> {
        Ok(match path {
            "s.css" => "a::after{content:\"</STYLE>\"}".into(),
            "i.svg" => "<svg/>".into(),
            "m.js" => "let a=\"</script><script></body><head>\",b='</SCRIPT >',c=\"<!--\";".into(),
            WASM => vec![0, 0x61, 0x73, 0x6d],
            "guide/climb.jpg" => vec![0xff, 0xd8, 0xff],
            other => anyhow::bail!("{other} was not expected"),
        })
    }

    #[test]
    fn everything_is_inside_and_nothing_is_fetched() {
        let page = assemble(INDEX, &[], &mut files).unwrap();
        assert!(!page.contains("src=") && !page.contains("manifest"), "{page}");
        assert!(page.contains("href=\"data:image/svg+xml;base64,PHN2Zy8+\""), "{page}");
        assert!(
            page.contains("<script type=\"text/plain\" id=\"bledsteam-wasm\">AGFzbQ==</script>"),
            "{page}"
        );
        assert!(
            page.contains("<script type=\"text/plain\" id=\"bledsteam-wasm\">AGFzbQ==</script>"),
            "{page}"
        );
        assert!(page.ends_with("</head><body>Ünicode</body></html>"), "{page}");
    }

    #[test]
    fn the_guide_s_pictures_are_inside() {
        let page = assemble(INDEX, &["guide/climb.jpg".into()], &mut files).unwrap();
        assert!(page.contains("<script type=\"text/plain\" id=\"guide/climb.jpg\">/9j/</script>"), "{page}");
    }

    #[test]
    fn nothing_inside_can_end_its_element() {
        let page = assemble(INDEX, &[], &mut files).unwrap();
        let lower = page.to_ascii_lowercase();
        // The module's and the code's own, and one style's.
        assert_eq!(lower.matches("</script").count(), 2, "{page}");
        assert_eq!(lower.matches("</style").count(), 1, "{page}");
        assert!(!page.contains("<!--"), "{page}");
        assert!(page.contains("<\\/SCRIPT >"), "the letters' case is kept: {page}");
    }

    #[test]
    fn the_policy_comes_first_and_names_what_is_really_there() {
        let page = assemble(INDEX, &[], &mut files).unwrap();
        let policy = page.find("Content-Security-Policy").unwrap();
        assert!(policy < page.find("<style").unwrap() && policy < page.find("<script").unwrap());
        let between = |open: &str, close: &str| {
            let (_, rest) = page.split_once(open).unwrap();
            rest.split_once(close).unwrap().0
        };
        let script = hash(between("<script type=\"module\">", "</script>"));
        let style = hash(between("<style>", "</style>"));
        assert!(page.contains(&format!("script-src 'sha256-{script}'")), "{page}");
        assert!(page.contains(&format!("style-src 'sha256-{style}'")), "{page}");
    }

    #[test]
    fn a_page_without_head_is_refused() {
        let error = assemble("<body></body>", &[], &mut files).unwrap_err().to_string();
        assert!(error.contains("<head>"), "{error}");
    }
}
