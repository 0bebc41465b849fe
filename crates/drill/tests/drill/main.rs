//! An exercise from its document to its gradebook, on a shipped plant.

#[cfg(test)]
mod carried;
#[cfg(test)]
mod document;
#[cfg(test)]
mod free;
#[cfg(test)]
mod free_files;
#[cfg(test)]
mod record;
#[cfg(test)]
mod taking;
#[cfg(test)]
mod twin;

#[cfg(test)]
mod common {
    use bledsteam_drill::exercise::prediction::{Guess, Way};
    use bledsteam_drill::exercise::question::Answer;
    use bledsteam_drill::exercise::read::read;
    use bledsteam_drill::{Lesson, Run};
    use engine::Command;
    use serde_json::{Value, json};
    use std::sync::{Arc, LazyLock};

    /// A ten-minute exercise that has one of everything.
    pub fn document() -> Value {
        json!({
            "format": "bledsteam-exercise/1",
            "id": "sample",
            "title": "A heater is put back",
            "plant": "reheat250",
            "brief": "Heater hp1 is to be tripped and watched.",
            "idea": "What a trip does to the feedwater.",
            "explanation": "Its steam works on in the turbine, and the water stays colder.",
            "length_s": 600.0,
            "timeline": [
                { "id": "tripped", "when": { "is": "done", "command": { "do": "trip_heater", "heater": "hp1" } } },
                { "id": "stuck", "at_s": 300.0, "note": "A drain valve sticks.", "commands": [{
                    "do": "insert_malfunction",
                    "malfunction": { "kind": "normal_drain_fails", "device": "lp5", "size": 0.0 }
                }] }
            ],
            "controls": { "lock": [{ "do": "set_load" }] },
            "trends": ["unit.final_fw_temperature"],
            "hints": [
                { "text": "Look at the heater nearest the boiler.", "price": 5.0 },
                { "text": "Trip hp1.", "price": 10.0 }
            ],
            "questions": [
                {
                    "id": "highest", "text": "Which heater has the highest pressure?",
                    "explanation": "Heater 1 does.", "answer": { "kind": "component", "right": ["hp1"] }
                },
                {
                    "id": "read-ttd", "text": "Read the TTD of hp2.", "explanation": "It is on the display.",
                    "answer": {
                        "kind": "number", "quantity": "temperature_difference", "signal": "hp2.ttd", "tolerance": 0.3
                    }
                }
            ],
            "predictions": [{
                "id": "feedwater", "text": "Where does the feedwater go?", "signal": "unit.final_fw_temperature",
                "moment": { "happening": "tripped" }, "window_s": 240.0,
                "what": { "kind": "direction" }, "explanation": "Down."
            }],
            "objectives": [
                { "id": "act", "text": "Trip hp1 in time.", "weight": 2.0, "rule": {
                    "kind": "act", "from": { "at_s": 0.0 }, "commands": [{ "do": "trip_heater", "heater": "hp1" }],
                    "within_s": 60.0, "late_s": 60.0
                } },
                { "id": "out", "text": "It is out.", "weight": 1.0, "rule": {
                    "kind": "reach", "when": { "is": "mode", "heater": "hp1", "mode": "out" }, "within_s": 200.0
                } },
                { "id": "spare", "text": "Spare the others.", "weight": 1.0, "rule": {
                    "kind": "never", "when": { "is": "happened", "event": "heater_tripped", "device": "hp2" }
                } },
                { "id": "level", "text": "Keep the level of lp5.", "weight": 2.0, "rule": {
                    "kind": "keep", "signal": "lp5.level", "low": -40.0, "high": 40.0, "allowed_s": 10.0,
                    "lost_s": 120.0, "lost_by": 200.0
                } },
                { "id": "know", "text": "Know the heaters.", "weight": 2.0,
                  "rule": { "kind": "answer", "question": "highest" } },
                { "id": "read", "text": "Read a display.", "weight": 1.0,
                  "rule": { "kind": "answer", "question": "read-ttd" } },
                { "id": "foresee", "text": "Foresee the feedwater.", "weight": 1.0,
                  "rule": { "kind": "predict", "prediction": "feedwater" } }
            ],
            "ends": [{
                "when": { "is": "happened", "event": "heater_tripped", "device": "hp3" },
                "text": "The wrong heater.", "fails": true
            }],
            "pass_mark": 60.0
        })
    }

    /// The lesson of a document on its plant.
    pub fn lesson(document: &Value) -> Arc<Lesson> {
        let exercise = read(&document.to_string()).unwrap();
        let plant = catalog::plant(&exercise.plant).unwrap();
        Arc::new(Lesson::new(exercise, plant).unwrap())
    }

    /// The sample, prepared once.
    pub fn sample() -> Arc<Lesson> {
        static SAMPLE: LazyLock<Arc<Lesson>> = LazyLock::new(|| lesson(&document()));
        SAMPLE.clone()
    }

    pub fn begin() -> Run {
        Run::new(sample(), Some("A. Trainee".into()), None).unwrap()
    }

    /// Advances to a time [s], past predictions that are not made.
    pub fn go(run: &mut Run, to_s: f64) {
        while (run.step() as f64) < 4.0 * to_s && run.ended().is_none() {
            run.advance((4.0 * to_s) as u32 - run.step() as u32).unwrap();
        }
    }

    pub fn trip(heater: &str) -> Command {
        Command::TripHeater { heater: heater.into() }
    }

    pub fn value(run: &Run, id: &str) -> f64 {
        let k = run.lesson().signals().iter().position(|d| d.id == id).unwrap();
        run.values()[k]
    }

    /// Takes the sample well, to its end, but for the drain that sticks.
    pub fn well() -> Run {
        let mut run = begin();
        run.predict("feedwater", &Guess::Direction { way: Way::Down }).unwrap();
        go(&mut run, 20.0);
        run.answer("highest", &Answer::Component { device: "hp1".into() }).unwrap();
        let ttd = value(&run, "hp2.ttd");
        run.answer("read-ttd", &Answer::Number { value: ttd + 0.1 }).unwrap();
        go(&mut run, 30.0);
        run.command(&trip("hp1")).unwrap();
        go(&mut run, 600.0);
        run
    }
}
