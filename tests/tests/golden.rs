//! One script of commands, one state to the last bit: here, in the shipped wasm (the browser tests read the same file),
//! in any batching of the steps.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::Run;
use engine::train::State;
use engine::{Command, Fault};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};

/// When set, the file is written anew instead of compared.
const RENEW: &str = "BLEDSTEAM_RENEW_GOLDEN";
/// The file.
const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/golden/state_hash.json");

/// A script and where it leads.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Golden {
    plant: String,
    script: Vec<Given>,
    /// Steps in all.
    steps: u32,
    state_hash: String,
    /// Of the water and steam properties: tells a change in them from one in the plant.
    property_fingerprint: String,
}

/// A command and the step before which it is given.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Given {
    at: u32,
    command: Command,
}

fn golden() -> Golden {
    let text = std::fs::read_to_string(FILE).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// Runs the script with at most `batch` steps to a call.
fn replay(g: &Golden, batch: u32) -> Result<Run, Fault> {
    let mut run = Run::open(&g.plant)?;
    let mut done = 0;
    let end = g.script.iter().map(|given| (given.at, Some(&given.command)));
    for (at, command) in end.chain([(g.steps, None)]) {
        while done < at {
            let now = batch.min(at - done);
            run.steps(now)?;
            done += now;
        }
        if let Some(command) = command {
            run.command(command.clone())?;
        }
    }
    Ok(run)
}

#[test]
fn the_script_leads_to_the_kept_state() {
    let kept = golden();
    let found = Golden {
        state_hash: replay(&kept, u32::MAX).unwrap().sim.state_hash().unwrap(),
        property_fingerprint: format!("{:016x}", steam::fingerprint()),
        ..golden()
    };
    if std::env::var_os(RENEW).is_some() {
        std::fs::write(FILE, serde_json::to_string_pretty(&found).unwrap() + "\n").unwrap();
        return;
    }
    assert_eq!(
        (&found.property_fingerprint, &found.state_hash),
        (&kept.property_fingerprint, &kept.state_hash),
        "the same script leads to other bits than before. If a change of the model was meant, set {RENEW}=1, run \
         this test again and commit the file with the reason; if not, something is no longer deterministic."
    );
}

/// The script goes where the model has something to do: a trip, a return, an isolation, a drain by hand, a load.
#[test]
fn the_script_is_worth_running() {
    let g = golden();
    let run = replay(&g, u32::MAX).unwrap();
    let codes: Vec<String> = run.events().iter().map(|e| format!("{:?}", e.code)).collect();
    for code in
        ["HeaterTripped", "Bypassed", "PutBack", "InService", "ExtractionIsolated", "DrainMoved", "LoadSet"]
    {
        assert!(codes.iter().any(|c| c == code), "no {code} among {codes:?}");
    }
    assert!(run.sim.time() >= 2000.0);
}

/// advance(n) once and advance(1) n times are the same plant, and so is any batch between.
#[test]
fn batching_the_steps_changes_no_bit() {
    let g = golden();
    for batch in [1, 7, 240] {
        let run = replay(&g, batch).unwrap();
        assert_eq!(run.sim.state_hash().unwrap(), g.state_hash, "in batches of {batch}");
    }
}

/// The detector: every single number of the state, changed by its last bit, changes the hash.
#[test]
fn one_bit_anywhere_changes_the_hash() {
    let run = replay(&golden(), u32::MAX).unwrap();
    // By another route to the same figure, so that what is tried below is what the simulator does.
    let hash = |s: &State| -> String {
        let bytes = postcard::to_allocvec(s).unwrap();
        Sha256::digest(&bytes).iter().map(|b| format!("{b:02x}")).collect()
    };
    let kept = run.sim.state_hash().unwrap();
    assert_eq!(hash(run.sim.state()), kept);
    let whole = serde_json::to_value(run.sim.state()).unwrap();
    let mut numbers = Vec::new();
    gather(&whole, String::new(), &mut numbers);
    assert!(numbers.len() > 200, "{} numbers in the state", numbers.len());
    for place in numbers {
        let mut other = whole.clone();
        let number = other.pointer_mut(&place).unwrap();
        *number = match number.as_u64() {
            Some(whole) => Value::from(whole ^ 1),
            None => Value::from(f64::from_bits(number.as_f64().unwrap().to_bits() ^ 1)),
        };
        let other: State = serde_json::from_value(other).unwrap();
        assert_ne!(hash(&other), kept, "{place} is not in the hash");
    }
}

/// Places of all numbers in a value.
fn gather(v: &Value, place: String, into: &mut Vec<String>) {
    match v {
        Value::Number(_) => into.push(place),
        Value::Array(all) => {
            all.iter().enumerate().for_each(|(i, v)| gather(v, format!("{place}/{i}"), into))
        }
        Value::Object(all) => all.iter().for_each(|(k, v)| gather(v, format!("{place}/{k}"), into)),
        _ => {}
    }
}
