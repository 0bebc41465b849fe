//! Building the page: module, bindings, packages, bundle, static files.

use crate::html::{self, Kind};
use crate::places::Places;
use crate::policy;
use crate::say::{step, stop};
use crate::system::Consent;
use crate::{bindings, npm, offline, process, route, wasm};
use anyhow::{Context, Result};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Sources, tools and the pictures of the README: not part of what is served.
const NOT_SERVED: [&str; 6] =
    ["src", "pictures", "node_modules", "package.json", "package-lock.json", "tsconfig.json"];

/// Scripts that run beside the page, in threads of their own: bundled like it, named by it alone.
pub const WORKERS: [&str; 1] = ["src/worker.js"];

/// Builds everything into the output folder.
pub fn build(places: &Places, consent: Consent) -> Result<()> {
    // What may be missing first: nobody should wait for the compiler to hear of it.
    let route = route::choose(consent)?;
    npm::install(places, consent, npm::FOR_THE_PAGE)?;
    let module = wasm::compile(places, &route)?;
    bindings::generate(places, &module)?;
    step("page", "bundling");
    let index = places.www().join("index.html");
    let text =
        std::fs::read_to_string(&index).with_context(|| format!("reading {}", places.shown(&index)))?;
    let tags = html::tags(&text)?;
    let bundled: Vec<&str> = tags
        .iter()
        .filter(|t| matches!(t.kind, Kind::Script | Kind::Style))
        .map(|t| t.path.as_str())
        .chain(WORKERS)
        .collect();
    let mut kept: BTreeSet<PathBuf> = bundled.iter().map(PathBuf::from).collect();
    bundle(places, &bundled)?;
    let shipped = places.bindings().join(bindings::WASM);
    copy(&shipped, &places.www_out().join(bindings::WASM))?;
    kept.insert(bindings::WASM.into());
    for file in static_files(&places.www(), &kept)? {
        copy(&places.www().join(&file), &places.www_out().join(&file))?;
        kept.insert(file);
    }
    for tag in &tags {
        if !kept.contains(Path::new(&tag.path)) {
            return Err(stop(
                format!("www/index.html names {}, which is not there", tag.path),
                "add it to www",
            ));
        }
    }
    offline::write(places, &kept)?;
    kept.insert(offline::OUT.into());
    remove_others(&places.www_out(), &kept)?;
    let total = kept.iter().map(|f| size(&places.www_out().join(f))).sum::<u64>();
    step("page", &format!("{} kB in all, {} kB of it wasm", total / 1000, size(&shipped) / 1000));
    Ok(())
}

/// Bundles and minifies the scripts and style sheets that the page names, each to the same place in the output.
fn bundle(places: &Places, entries: &[&str]) -> Result<()> {
    let mut esbuild = npm::esbuild(places);
    esbuild.args(entries);
    esbuild.args(["--bundle", "--minify", "--format=esm", "--target=es2022", "--charset=utf8"]);
    // Their licences ask that the notice goes with them; minifying would drop the comments that hold it.
    esbuild.arg("--banner:js=/*! Bledsteam. Contains uPlot, (c) Leon Sorokin, and fflate, (c) Arjun Barrett, MIT licence. */");
    esbuild.args(["--log-level=warning", "--outbase=."]);
    esbuild.arg(format!("--outdir={}", places.www_out().display()));
    process::run(&mut esbuild, "correct what esbuild reports above")
}

/// What goes into the output as it is, relative to `www`, without what the bundle has made.
fn static_files(www: &Path, made: &BTreeSet<PathBuf>) -> Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    walk(www, Path::new(""), &mut found)?;
    found.retain(|file| !made.contains(file));
    // A style sheet that the page does not name is a part of one that it names.
    found.retain(|file| file.extension().is_none_or(|e| e != "css"));
    if let Some(odd) = found.iter().find(|file| policy::mime(file).is_none()) {
        let what = format!("www/{} is of a kind the server has no type for", odd.display());
        return Err(stop(what, "remove it, or add its type in crates/xtask/src/policy.rs"));
    }
    Ok(found)
}

fn walk(root: &Path, inside: &Path, found: &mut Vec<PathBuf>) -> Result<()> {
    let dir = root.join(inside);
    for entry in dir.read_dir().with_context(|| format!("reading {}", dir.display()))? {
        let entry = entry?;
        let name = entry.file_name();
        let hidden = name.to_string_lossy().starts_with('.');
        if hidden || (inside.as_os_str().is_empty() && NOT_SERVED.iter().any(|n| name == *n)) {
            continue;
        }
        let path = inside.join(&name);
        if entry.file_type()?.is_dir() {
            walk(root, &path, found)?;
        } else {
            found.push(path);
        }
    }
    Ok(())
}

/// Removes what an earlier build left in the output.
fn remove_others(out: &Path, kept: &BTreeSet<PathBuf>) -> Result<()> {
    let mut found = Vec::new();
    walk(out, Path::new("src"), &mut found).ok();
    walk(out, Path::new(""), &mut found)?;
    for file in found.iter().filter(|file| !kept.contains(*file)) {
        let path = out.join(file);
        std::fs::remove_file(&path).with_context(|| format!("removing {}", path.display()))?;
    }
    Ok(())
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    if let Some(parent) = to.parent() {
        std::fs::create_dir_all(parent).with_context(|| format!("creating {}", parent.display()))?;
    }
    std::fs::copy(from, to).with_context(|| format!("copying {} to {}", from.display(), to.display()))?;
    Ok(())
}

fn size(file: &Path) -> u64 {
    file.metadata().map_or(0, |m| m.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_meant_for_the_browser_is_served() {
        let www = std::env::temp_dir().join(format!("bledsteam-page-{}", std::process::id()));
        for file in [
            "index.html",
            "style.css",
            "part.css",
            "icons/a.svg",
            "src/main.js",
            ".npmrc",
            "package.json",
            "node_modules/x/y.js",
        ] {
            let path = www.join(file);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, "x").unwrap();
        }
        let made = BTreeSet::from([PathBuf::from("style.css")]);
        let mut files = static_files(&www, &made).unwrap();
        files.sort();
        assert_eq!(files, [PathBuf::from("icons/a.svg"), PathBuf::from("index.html")]);
        std::fs::write(www.join("odd.exe"), "x").unwrap();
        let error = static_files(&www, &made).unwrap_err().to_string();
        assert!(error.contains("odd.exe"), "{error}");
        std::fs::remove_dir_all(www).unwrap();
    }
}
