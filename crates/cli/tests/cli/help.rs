//! The help tells the truth: every example in it works.

use crate::shell::{BINARY, PLANT, call, file, plant_file};
use std::path::{Path, PathBuf};
use std::process::Command;

const JOBS: [&str; 15] = [
    "run",
    "balance",
    "compare",
    "costs",
    "explain",
    "directions",
    "check",
    "equip",
    "plants",
    "signals",
    "schema",
    "exercises",
    "exercise",
    "replay",
    "grade",
];

fn help(job: &str) -> String {
    let done = call(job, &["--help"]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    done.out
}

#[test]
fn every_example_works() {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("examples");
    std::fs::create_dir_all(&dir).unwrap();
    std::fs::write(dir.join("my-plant.json"), plant_file().to_string()).unwrap();
    let mut run = drill::Free::new(catalog::plant(PLANT).unwrap()).unwrap();
    run.advance(300).unwrap();
    std::fs::write(dir.join("tape.json"), run.tape_file("a minute", "today").unwrap()).unwrap();
    let bin = Path::new(BINARY).parent().unwrap().to_str().unwrap();
    for page in JOBS.iter().map(|j| help(j)).chain([help("")]) {
        let examples: Vec<&str> =
            page.lines().filter(|l| l.starts_with("  bledsteam ")).map(str::trim).collect();
        assert!(!examples.is_empty(), "{page}");
        for example in examples {
            let script = format!("PATH='{bin}':\"$PATH\"\n{example}");
            let output = Command::new("sh").arg("-c").arg(script).current_dir(&dir).output().unwrap();
            let said = String::from_utf8_lossy(&output.stderr);
            assert!(output.status.success(), "{example}: {said}");
            assert!(
                !output.stdout.is_empty() || example.contains("--out-file") || example.contains(" > "),
                "{example}"
            );
        }
    }
    let schema: serde_json::Value =
        serde_json::from_slice(&std::fs::read(dir.join("plant.schema.json")).unwrap()).unwrap();
    assert_eq!(schema, engine::plant::schema());
    assert_eq!(schema["properties"]["heaters"]["type"], "array");
    assert_eq!(schema["additionalProperties"], false);
    let csv = std::fs::read_to_string(dir.join("hp1.csv")).unwrap();
    assert!(csv.lines().count() == 302 && csv.starts_with("unit.time [s],hp1."), "{}", csv.lines().count());
}

#[test]
fn the_script_in_the_help_works() {
    let page = help("run");
    let from = page.find("  [{").unwrap();
    let to = from + page[from..].find("}]").unwrap() + 2;
    let path = file("from-help.json", &page.as_bytes()[from..to]);
    let done = call("run --for 30min --json --plant", &[PLANT, "--script", path.to_str().unwrap()]).json();
    let events: Vec<&str> =
        done["events"].as_array().unwrap().iter().map(|e| e["code"].as_str().unwrap()).collect();
    for code in ["heater_tripped", "drain_moved", "drain_released", "load_set"] {
        assert!(events.contains(&code), "{code} not in {events:?}");
    }
}

#[test]
fn every_level_explains_itself() {
    let top = help("");
    for job in JOBS {
        assert!(top.contains(&format!("\n  {job} ")), "{job}");
    }
    for code in 0..=7 {
        assert!(top.contains(&format!("\n  {code}  ")), "exit code {code}");
    }
    for word in ["trip", "isolate", "put-back", "move", "release", "load"] {
        assert!(help("run").contains(&format!("\n  {word} ")), "{word}");
    }
    let version = call("--version", &[]);
    assert_eq!(version.out.trim(), format!("bledsteam {}", env!("CARGO_PKG_VERSION")));
}
