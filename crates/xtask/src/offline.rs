//! The service worker that keeps the built page for use without a network: its code is the page's, its list of files and
//! their hashes are made here, so that two builds can never be mixed.

use crate::npm;
use crate::places::Places;
use crate::process;
use anyhow::{Context, Result};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

const SOURCE: &str = "src/offline.js";
/// Beside the page and not below it: from there it may answer for the page itself.
pub const OUT: &str = "offline.js";

/// Writes the service worker for the files of the page.
pub fn write(places: &Places, files: &BTreeSet<PathBuf>) -> Result<()> {
    let out = places.www_out();
    let list = hashes(&out, files)?;
    let list = serde_json::to_string(&list)?;
    let build = npm::hex(&Sha256::digest(&list)[..8]);
    let mut esbuild = npm::esbuild(places);
    esbuild.args([SOURCE, "--bundle", "--minify", "--format=iife", "--target=es2022", "--charset=utf8"]);
    esbuild.args([format!("--define:BUILD=\"{build}\""), format!("--define:FILES={list}")]);
    esbuild.arg("--log-level=warning").arg(format!("--outfile={}", out.join(OUT).display()));
    process::run(&mut esbuild, "correct what esbuild reports above")
}

/// The SHA-256 of each file under the address that the page asks for: the folder itself for its index.
fn hashes(out: &Path, files: &BTreeSet<PathBuf>) -> Result<BTreeMap<String, String>> {
    files
        .iter()
        .map(|file| {
            let path = out.join(file);
            let bytes = std::fs::read(&path).with_context(|| format!("reading {}", path.display()))?;
            // A folder may be named by `\` where this runs; an address never is.
            let parts: Vec<_> = file.iter().map(|part| part.to_string_lossy()).collect();
            let address = parts.join("/");
            // Servers lead from `index.html` to the folder, and an answer that was led elsewhere opens no page.
            let address = if address == "index.html" { "./".to_owned() } else { address };
            Ok((address, STANDARD.encode(Sha256::digest(&bytes))))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_follows_content_and_names_the_folder_for_its_index() {
        let out = std::env::temp_dir().join(format!("bledsteam-offline-{}", std::process::id()));
        std::fs::create_dir_all(out.join("src")).unwrap();
        std::fs::write(out.join("index.html"), "abc").unwrap();
        std::fs::write(out.join("src/main.js"), "1").unwrap();
        let files = BTreeSet::from([PathBuf::from("index.html"), Path::new("src").join("main.js")]);
        let before = hashes(&out, &files).unwrap();
        assert_eq!(before.keys().collect::<Vec<_>>(), ["./", "src/main.js"]);
        // FIPS 180-4, example of SHA-256 of "abc", in base 64.
        assert_eq!(before["./"], "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
        std::fs::write(out.join("src/main.js"), "2").unwrap();
        let after = hashes(&out, &files).unwrap();
        assert_ne!(before["src/main.js"], after["src/main.js"]);
        assert_eq!(before["./"], after["./"]);
        std::fs::remove_dir_all(out).unwrap();
    }
}
