//! What a machine can check of the habits in DEVELOPERS.md.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Longest file [lines].
const LONGEST: usize = 600;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_owned()
}

/// Files below `folder` with one of these extensions; not what is built or installed.
fn files(folder: &Path, extensions: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                if !name.starts_with('.') && name != "target" && name != "node_modules" {
                    folders.push(path);
                }
            } else if path.extension().is_some_and(|e| extensions.iter().any(|x| e == *x)) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

/// The lines of a Rust file that are no comments, with their numbers, up to its unit tests.
fn code(text: &str) -> Vec<(usize, &str)> {
    text.lines()
        .enumerate()
        .map(|(i, line)| (i + 1, line.split("//").next().unwrap_or("")))
        .take_while(|(_, line)| line.trim() != "#[cfg(test)]")
        .collect()
}

/// Places in the source of these crates where one of `words` stands.
fn places(crates: &[&str], words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for name in crates {
        for file in files(&root().join("crates").join(name).join("src"), &["rs"]) {
            for (number, line) in code(&read(&file)) {
                if let Some(word) = words.iter().find(|word| line.contains(**word)) {
                    found.push(format!("{}:{number}: {word}", shown(&file)));
                }
            }
        }
    }
    found
}

#[test]
fn every_file_says_what_it_is_for() {
    let without: Vec<String> = files(&root(), &["rs"])
        .iter()
        .filter(|file| !read(file).lines().any(|line| line.starts_with("//!")))
        .map(|file| shown(file))
        .collect();
    assert!(without.is_empty(), "no module documentation: {without:#?}");
}

#[test]
fn no_file_is_long() {
    let long: Vec<String> = files(&root(), &["rs", "js", "mjs", "css", "py", "md"])
        .iter()
        .map(|file| (shown(file), read(file).lines().count()))
        .filter(|(_, lines)| *lines > LONGEST)
        .map(|(file, lines)| format!("{file}: {lines} lines"))
        .collect();
    assert!(long.is_empty(), "split these, one question to a file: {long:#?}");
}

/// steam <- engine <- (drill, catalog) <- (web, cli): no arrow back, and the foundation knows nothing of a plant.
#[test]
fn dependencies_point_one_way() {
    let ours = ["steam", "engine", "drill", "catalog", "web", "cli"];
    let allowed: [(&str, &[&str]); 6] = [
        ("steam", &[]),
        ("engine", &["steam"]),
        ("drill", &["steam", "engine"]),
        ("catalog", &["engine"]),
        ("web", &["steam", "engine", "drill", "catalog"]),
        ("cli", &["steam", "engine", "drill", "catalog"]),
    ];
    for (name, may) in allowed {
        let text = read(&root().join("crates").join(name).join("Cargo.toml"));
        // What tests use besides is their own affair.
        let text = text.split("[dev-dependencies]").next().unwrap_or("");
        let named = |other: &str| {
            text.lines().any(|line| {
                let key = line.split(['.', '=', ' ']).next().unwrap_or("");
                key == other || key == format!("bledsteam-{other}")
            })
        };
        let against: Vec<&str> =
            ours.into_iter().filter(|other| named(other) && !may.contains(other)).collect();
        assert!(against.is_empty(), "{name} must not depend on {against:?}");
    }
}

/// The engine has no clock, no files, no order that varies; the foundation and what is built on replay likewise.
#[test]
fn the_numeric_crates_stay_apart_from_the_world() {
    let words = [
        "std::time",
        "std::fs",
        "std::env",
        "std::net",
        "std::process",
        "std::thread",
        "HashMap",
        "HashSet",
        "SystemTime",
        "Instant::",
        "println!",
        "eprintln!",
        "wasm_bindgen",
        "web_sys",
    ];
    let found = places(&["steam", "engine", "drill"], &words);
    assert!(found.is_empty(), "{found:#?}");
}

/// Transcendental functions come from `steam::math` alone: those of std differ between native and wasm in the last bit.
/// The lint in `.clippy.toml` says the same where clippy runs; this says it in every test run, of `web` and `cli` too.
#[test]
fn no_function_of_std_decides_a_bit() {
    let functions = [
        "exp", "exp2", "exp_m1", "ln", "ln_1p", "log", "log2", "log10", "powf", "sin", "cos", "tan", "asin",
        "acos", "atan", "atan2", "sinh", "cosh", "tanh", "asinh", "acosh", "atanh", "cbrt", "hypot",
        "mul_add", "sin_cos",
    ];
    let calls: Vec<String> =
        functions.iter().flat_map(|f| [format!(".{f}("), format!("f64::{f}"), format!("f32::{f}")]).collect();
    let calls: Vec<&str> = calls.iter().map(String::as_str).collect();
    let found = places(&["steam", "engine", "drill", "catalog", "web", "cli"], &calls);
    assert!(found.is_empty(), "{found:#?}");
}

/// The targets of all links of a Markdown text, fenced code left out.
fn links(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut fenced = false;
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
        }
        if fenced {
            continue;
        }
        let mut rest = line;
        while let Some((_, after)) = rest.split_once("](") {
            let Some((target, next)) = after.split_once(')') else { break };
            found.push(target.split(' ').next().unwrap_or("").to_owned());
            rest = next;
        }
    }
    found
}

/// A heading as its anchor.
fn anchor(heading: &str) -> String {
    let kept = heading.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
    kept.collect::<String>().trim().to_lowercase().replace(' ', "-")
}

#[test]
fn links_between_documents_are_alive() {
    let anchors = |path: &Path| -> BTreeSet<String> {
        read(path)
            .lines()
            .filter_map(|l| l.strip_prefix('#'))
            .map(|l| anchor(l.trim_start_matches('#')))
            .collect()
    };
    let mut dead = Vec::new();
    for file in files(&root(), &["md"]) {
        for link in links(&read(&file)) {
            if link.contains("://") || link.starts_with("mailto:") {
                continue;
            }
            let (path, part) = link.split_once('#').unwrap_or((&link, ""));
            let target = if path.is_empty() { file.clone() } else { file.parent().unwrap().join(path) };
            let alive = target.exists() && (part.is_empty() || anchors(&target).contains(part));
            if !alive {
                dead.push(format!("{}: {link}", shown(&file)));
            }
        }
    }
    assert!(dead.is_empty(), "{dead:#?}");
}

/// The checks themselves: what they look for is found where it is.
#[test]
fn the_checks_would_notice() {
    let text = "//! Says.\nlet y = x.powf(2.0); // f64::exp\n#[cfg(test)]\nlet z = x.exp();";
    let lines = code(text);
    assert!(lines[1].1.contains(".powf(") && !lines[1].1.contains("exp") && lines.len() == 2);
    assert_eq!(links("[a](b.md) and ![c](d/e.png \"f\")\n```\n[g](h)\n```"), ["b.md", "d/e.png"]);
    assert_eq!(anchor(" How to add a component, `quickly`"), "how-to-add-a-component-quickly");
    assert!(!places(&["steam"], &["fn fingerprint"]).is_empty());
    assert!(files(&root(), &["rs"]).len() > 50);
}
