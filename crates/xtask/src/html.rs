//! The few tags of `www/index.html` that the build follows or replaces.
//!
//! The file is our own and kept plain, so this reads tags and quoted attributes, not all of HTML; what it does not
//! understand it reports, rather than leaving a page that half works.

use crate::say::stop;
use anyhow::Result;
use std::ops::Range;

/// What the page brings in by a tag.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// `<script type="module" src="…"></script>`.
    Script,
    /// `<link rel="stylesheet" href="…">`.
    Style,
    /// `<link rel="icon" href="…">`.
    Icon,
    /// `<link rel="manifest" href="…">`.
    Manifest,
}

/// One such tag.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tag {
    /// What it brings in.
    pub kind: Kind,
    /// From where, relative to the page.
    pub path: String,
    /// Its bytes in the text, the end tag included.
    pub range: Range<usize>,
}

/// All tags that bring something in, in order.
///
/// # Errors
/// Inline code or style (the page's policy would block it), an address that is not a plain relative path, a tag
/// that the build does not know.
pub fn tags(text: &str) -> Result<Vec<Tag>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(start) = text[at..].find('<').map(|i| at + i) {
        if text[start..].starts_with("<!--") {
            at = text[start..].find("-->").map_or(text.len(), |i| start + i + 3);
            continue;
        }
        let open_end = end_of_tag(text, start);
        at = open_end;
        let inside = text[start + 1..open_end].trim_end_matches('>');
        let (name, attributes) = inside.split_at(inside.find(char::is_whitespace).unwrap_or(inside.len()));
        let tag = |kind, attribute| -> Result<Tag> {
            let path = value(attributes, attribute).unwrap_or_default();
            let plain = !path.is_empty() && !path.contains([':', '?', '#', '\\']) && !path.starts_with('/');
            if !plain || path.split('/').any(|part| part == "..") {
                return Err(bad(text, start, "does not name a file inside www", "use a relative path"));
            }
            let path = path.trim_start_matches("./").to_owned();
            Ok(Tag { kind, path, range: start..open_end })
        };
        match name.to_ascii_lowercase().as_str() {
            "style" => {
                return Err(bad(
                    text,
                    start,
                    "is blocked by the page's policy",
                    "move it into a style sheet",
                ));
            }
            "script" => {
                let mut script = tag(Kind::Script, "src")?;
                if value(attributes, "type") != Some("module") {
                    return Err(bad(text, start, "is not a module", "write <script type=\"module\" src=…>"));
                }
                let rest = &text[open_end..];
                let Some(body) = rest.find("</script>").filter(|&i| rest[..i].trim().is_empty()) else {
                    return Err(bad(text, start, "is not closed at once", "write <script …></script>"));
                };
                script.range.end = open_end + body + "</script>".len();
                at = script.range.end;
                found.push(script);
            }
            "link" => found.push(match value(attributes, "rel") {
                Some("stylesheet") => tag(Kind::Style, "href")?,
                Some("icon") => tag(Kind::Icon, "href")?,
                Some("manifest") => tag(Kind::Manifest, "href")?,
                _ => {
                    return Err(bad(
                        text,
                        start,
                        "is of no kind the build knows",
                        "stylesheet, icon or manifest",
                    ));
                }
            }),
            _ => {}
        }
    }
    Ok(found)
}

fn bad(text: &str, start: usize, what: &str, remedy: &str) -> anyhow::Error {
    let line = text[..start].matches('\n').count() + 1;
    let tag: String = text[start..].chars().take_while(|&c| c != '\n').take(80).collect();
    stop(format!("www/index.html, line {line}: {tag} {what}"), remedy)
}

/// Just behind the `>` that ends the tag at `start`; quoted ones do not.
fn end_of_tag(text: &str, start: usize) -> usize {
    let mut quote = None;
    for (i, c) in text[start..].char_indices() {
        match (quote, c) {
            (None, '>') => return start + i + 1,
            (None, '"' | '\'') => quote = Some(c),
            (Some(q), c) if q == c => quote = None,
            _ => {}
        }
    }
    text.len()
}

/// The quoted value of an attribute.
fn value<'a>(attributes: &'a str, name: &str) -> Option<&'a str> {
    let mut rest = attributes;
    loop {
        let (key, after) = rest.split_once('=')?;
        let quote = after.trim_start().chars().next().filter(|&c| c == '"' || c == '\'')?;
        let (value, next) = after.trim_start()[1..].split_once(quote)?;
        // Attributes without a value may stand before the name.
        if key.split_whitespace().last()?.eq_ignore_ascii_case(name) {
            return Some(value);
        }
        rest = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "<!doctype html>\n<html><head><!-- <script>no</script> -->\n\
        <link rel=\"stylesheet\" href=\"style.css\">\n<link rel='icon' type='image/svg+xml' href='./icon.svg' />\n\
        <script async type=\"module\" src=\"src/main.js\"></script></head><body title=\"a > b\"></body></html>";

    #[test]
    fn the_pages_tags_are_found_with_their_places() {
        let found = tags(PAGE).unwrap();
        let seen: Vec<_> = found.iter().map(|t| (t.kind, t.path.as_str())).collect();
        assert_eq!(
            seen,
            [(Kind::Style, "style.css"), (Kind::Icon, "icon.svg"), (Kind::Script, "src/main.js"),]
        );
        let script = &PAGE[found[2].range.clone()];
        assert!(script.starts_with("<script async") && script.ends_with("</script>"), "{script}");
    }

    #[test]
    fn what_the_policy_would_block_is_refused_with_its_line() {
        for (text, part) in [
            ("<html>\n<style>a{}</style>", "line 2"),
            ("<script type=\"module\">let a</script>", "line 1"),
            ("<script src=\"a.js\"></script>", "module"),
            ("<script type=\"module\" src=\"a.js\">let a</script>", "closed"),
            ("<script type=\"module\" src=\"https://elsewhere.example/a.js\"></script>", "inside www"),
            ("<link rel=\"stylesheet\" href=\"../a.css\">", "inside www"),
            ("<link rel=\"preload\" href=\"a.css\">", "no kind"),
        ] {
            let error = tags(text).unwrap_err().to_string();
            assert!(error.contains(part), "{text}: {error}");
        }
    }
}
