//! What a number is made of, on the command line: the equation adds up as printed, and follows the run before it.

use crate::shell::{PLANT, call};

#[test]
fn the_printed_terms_give_the_printed_result() {
    let done = call(&format!("explain {PLANT} hp1.ttd"), &[]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    assert!(done.out.contains("TTD = t_s - t_w,out"), "{}", done.out);
    assert!(
        done.out.contains("ASME PTC 12.1") && done.out.contains("hp1.saturation_temperature"),
        "{}",
        done.out
    );
    // The line with bare numbers is arithmetic that anyone can repeat.
    let bare = done.out.lines().find(|l| l.contains("in kg, s, m")).unwrap();
    let (left, right) = bare.split_once(":  ").unwrap().1.split_once(" = ").unwrap();
    let (a, b) = left.split_once(" - ").unwrap();
    let read = |s: &str| s.trim().parse::<f64>().unwrap();
    assert!((read(a) - read(b) - read(right)).abs() < 2e-3, "{bare}");
}

#[test]
fn it_explains_the_plant_as_it_has_become() {
    let value = |words: &str| {
        call(&format!("explain {PLANT} unit.final_fw_temperature --json {words}"), &[]).json()["value"]
            .as_f64()
            .unwrap()
    };
    let (rest, tripped) = (value(""), value("--for 10min --at 1min trip hp1"));
    assert!(rest - tripped > 20.0, "{rest} {tripped}");
    let us = call(&format!("explain {PLANT} hp1.shell_mass --units us"), &[]);
    assert!(us.out.contains("klb") && us.out.contains("no equation: state"), "{}", us.out);
}

#[test]
fn a_component_is_balanced_to_nothing() {
    for device in ["hp1", "turbine", "plant"] {
        let b = call(&format!("explain {PLANT} {device} --for 2min --at 1min trip hp1 --json"), &[]).json();
        assert!(b["flows"].as_array().unwrap().len() > 3, "{b}");
        assert!(b["energy_residual"].as_f64().unwrap().abs() < 1e-3, "{b}");
    }
    let done = call(&format!("explain {PLANT} hp1"), &[]);
    assert!(
        done.out.contains("+ extraction steam turbine") && done.out.contains("in less out less stored"),
        "{}",
        done.out
    );
}

#[test]
fn what_is_not_there_is_said_with_a_way_out() {
    let done = call(&format!("explain {PLANT} hp1.colour"), &[]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("hp1.colour") && done.err.contains("bledsteam signals"), "{}", done.err);
    let done = call(&format!("explain {PLANT} hp1.ttd --for 1min --at 10s trip hp9"), &[]);
    assert_eq!(done.code, 2, "{}", done.err);
    assert!(done.err.contains("trip hp9"), "{}", done.err);
}
