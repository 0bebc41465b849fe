//! What an exercise must fulfil beyond its form. Every fault is reported with its place, not only the first.

use super::condition::{Condition, DEEPEST};
use super::control::{Pattern, Word};
use super::objective::{Objective, Rule};
use super::prediction::{Predicted, Prediction};
use super::question::{Asked, Question, distinct};
use super::{Exercise, Moment};
use engine::signals::{self, Definition};
use engine::{Command, Fault, Sim};
use serde_json::Value;
use steam::units::Quantity;

/// Longest exercise [s]: four hours.
pub const LONGEST: f64 = 14_400.0;
/// Most entries of a list.
pub const MOST: usize = 60;
/// Longest title, choice or action [characters].
const LINE: usize = 200;
/// Longest hint, question or note [characters].
const PARAGRAPH: usize = 1_500;
/// Longest brief or explanation [characters].
const PAGE: usize = 6_000;

/// Refusals that lie in the state the plant is in, not in the command.
const OF_THE_STATE: [&str; 4] = ["refused", "in_force", "not_in_force", "too_many"];

/// What the plant has, for the names that an exercise uses.
pub(crate) struct Names {
    pub(crate) signals: Vec<Definition>,
    closed: Vec<String>,
    devices: Vec<String>,
    /// Of each kind of command: its fields.
    commands: Vec<(String, Vec<String>)>,
}

impl Names {
    pub(crate) fn of(sim: &Sim) -> Names {
        let closed: Vec<String> = sim.params().closed.iter().map(|c| c.heater.id.clone()).collect();
        let signals = signals::definitions(sim);
        let mut devices: Vec<String> = signals.iter().map(|d| d.device.clone()).collect();
        devices.dedup();
        Names { signals, closed, devices, commands: kinds() }
    }

    /// Place of a signal in the list.
    pub(crate) fn signal(&self, id: &str) -> Option<usize> {
        self.signals.iter().position(|d| d.id == id)
    }
}

/// Kinds of command and their fields, out of the type itself.
fn kinds() -> Vec<(String, Vec<String>)> {
    let schema: Value = schemars::schema_for!(Command).into();
    let variants = schema["oneOf"].as_array().cloned().unwrap_or_default();
    let of = |v: &Value| {
        let fields = v["properties"].as_object()?;
        Some((v["properties"]["do"]["const"].as_str()?.to_owned(), fields.keys().cloned().collect()))
    };
    variants.iter().filter_map(of).collect()
}

/// Checks an exercise against the plant it is for; an empty list means it can be taken. The plant serves to try commands
/// on and is left changed.
pub(crate) fn check(e: &Exercise, sim: &mut Sim, names: &Names) -> Vec<Fault> {
    let mut r = Report { e, names, faults: Vec::new() };
    r.texts();
    r.need(e.length_s > 0.0 && e.length_s <= LONGEST, "length_s", || {
        format!("{} s is not above 0 and at most {LONGEST} s.", e.length_s)
    });
    r.within("pass_mark", e.pass_mark, 0.0, 100.0);
    r.lists();
    r.start();
    for (k, h) in e.timeline.iter().enumerate() {
        let here = format!("timeline[{k}]");
        if let Some(at) = h.at_s {
            r.time(&format!("{here}.at_s"), at);
        }
        if let Some(c) = &h.when {
            r.condition(&format!("{here}.when"), c, 1);
        }
        r.need(h.at_s.is_some() || h.when.is_some(), &here, || "neither at_s nor when is given.".into());
        r.count(&format!("{here}.commands"), h.commands.len());
    }
    for (k, p) in e.controls.permit.iter().flatten().enumerate() {
        r.pattern(&format!("controls.permit[{k}]"), p);
    }
    for (k, p) in e.controls.lock.iter().enumerate() {
        r.pattern(&format!("controls.lock[{k}]"), p);
    }
    for (k, id) in e.trends.iter().enumerate() {
        r.signal(&format!("trends[{k}]"), id);
    }
    for (k, h) in e.hints.iter().enumerate() {
        r.within(&format!("hints[{k}].price"), h.price, 0.0, 100.0);
    }
    for (k, q) in e.questions.iter().enumerate() {
        r.question(&format!("questions[{k}]"), q);
    }
    for (k, p) in e.predictions.iter().enumerate() {
        r.prediction(&format!("predictions[{k}]"), p);
    }
    for (k, o) in e.objectives.iter().enumerate() {
        r.objective(&format!("objectives[{k}]"), o);
    }
    let sum: f64 = e.objectives.iter().map(|o| o.weight).sum();
    r.need(sum > 0.0, "objectives", || "the weights of the objectives sum to 0: nothing is judged.".into());
    for (k, end) in e.ends.iter().enumerate() {
        r.condition(&format!("ends[{k}].when"), &end.when, 1);
    }
    r.commands(sim);
    r.faults
}

/// Checks a condition that stands alone, as in a run without an exercise: there is no timeline that it could refer to.
pub(crate) fn alone(c: &Condition, names: &Names) -> Vec<Fault> {
    let e = Exercise {
        format: super::FORMAT.into(),
        id: String::new(),
        title: String::new(),
        plant: String::new(),
        plant_file: None,
        brief: String::new(),
        idea: String::new(),
        explanation: String::new(),
        start: super::Start::default(),
        length_s: LONGEST,
        timeline: Vec::new(),
        controls: super::Controls::default(),
        trends: Vec::new(),
        hints: Vec::new(),
        questions: Vec::new(),
        predictions: Vec::new(),
        objectives: Vec::new(),
        ends: Vec::new(),
        pass_mark: 0.0,
    };
    let mut r = Report { e: &e, names, faults: Vec::new() };
    r.condition("when", c, 1);
    r.faults
}

struct Report<'a> {
    e: &'a Exercise,
    names: &'a Names,
    faults: Vec<Fault>,
}

impl Report<'_> {
    fn fault(&mut self, place: &str, message: String, remedy: String) {
        self.faults.push(Fault::new("exercise_value", place, message, remedy));
    }

    fn need(&mut self, holds: bool, place: &str, message: impl FnOnce() -> String) {
        if !holds {
            self.fault(place, message(), "Mend the exercise at this place.".into());
        }
    }

    fn within(&mut self, place: &str, value: f64, low: f64, high: f64) {
        self.need(value >= low && value <= high, place, || format!("{value} is outside {low} to {high}."));
    }

    /// A time within the exercise.
    fn time(&mut self, place: &str, s: f64) {
        let end = self.e.length_s;
        self.need(s >= 0.0 && s < end, place, || {
            format!("{s} s is not from 0 to before the end at {end} s.")
        });
    }

    /// A length of time.
    fn span(&mut self, place: &str, s: f64) {
        self.within(place, s, 0.0, LONGEST);
    }

    fn count(&mut self, place: &str, n: usize) {
        self.need(n <= MOST, place, || format!("{n} entries are more than {MOST}."));
    }

    fn text(&mut self, place: &str, text: &str, longest: usize) {
        let n = text.chars().count();
        self.need(!text.trim().is_empty(), place, || "there is no text.".into());
        self.need(n <= longest, place, || {
            format!("the text has {n} characters, at most {longest} are read.")
        });
        self.need(!text.chars().any(|c| c.is_control() && c != '\n'), place, || {
            "the text holds control characters; only line ends are plain text.".into()
        });
    }

    fn id(&mut self, place: &str, id: &str) {
        let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == '_';
        self.need(!id.is_empty() && id.len() <= 40 && id.chars().all(fits), place, || {
            format!("'{id}' is not a name of 1 to 40 small letters, digits, '-' and '_'.")
        });
    }

    fn unique<'i>(&mut self, list: &str, ids: impl Iterator<Item = &'i str>) {
        let ids: Vec<&str> = ids.collect();
        self.count(list, ids.len());
        for (k, id) in ids.iter().enumerate() {
            let place = format!("{list}[{k}].id");
            self.id(&place, id);
            self.need(!ids[..k].contains(id), &place, || format!("'{id}' is used twice."));
        }
    }

    fn lists(&mut self) {
        let e = self.e;
        self.id("id", &e.id);
        self.unique("timeline", e.timeline.iter().map(|x| x.id.as_str()));
        self.unique("questions", e.questions.iter().map(|x| x.id.as_str()));
        self.unique("predictions", e.predictions.iter().map(|x| x.id.as_str()));
        self.unique("objectives", e.objectives.iter().map(|x| x.id.as_str()));
        let more = [
            ("hints", e.hints.len()),
            ("ends", e.ends.len()),
            ("trends", e.trends.len()),
            ("start.commands", e.start.commands.len()),
            ("controls.permit", e.controls.permit.iter().flatten().count()),
            ("controls.lock", e.controls.lock.len()),
        ];
        for (place, n) in more {
            self.count(place, n);
        }
    }

    fn texts(&mut self) {
        let e = self.e;
        self.text("title", &e.title, LINE);
        self.text("brief", &e.brief, PAGE);
        self.text("idea", &e.idea, PARAGRAPH);
        self.text("explanation", &e.explanation, PAGE);
        for (k, h) in e.timeline.iter().enumerate() {
            if let Some(note) = &h.note {
                self.text(&format!("timeline[{k}].note"), note, PARAGRAPH);
            }
        }
        for (k, h) in e.hints.iter().enumerate() {
            self.text(&format!("hints[{k}].text"), &h.text, PARAGRAPH);
        }
        for (k, q) in e.questions.iter().enumerate() {
            self.text(&format!("questions[{k}].text"), &q.text, PARAGRAPH);
            self.text(&format!("questions[{k}].explanation"), &q.explanation, PARAGRAPH);
            let (list, texts) = match &q.answer {
                Asked::Choice { choices, .. } => ("choices", choices.as_slice()),
                Asked::Order { actions, .. } => ("actions", actions.as_slice()),
                _ => ("", [].as_slice()),
            };
            for (j, text) in texts.iter().enumerate() {
                self.text(&format!("questions[{k}].answer.{list}[{j}]"), text, LINE);
            }
        }
        for (k, p) in e.predictions.iter().enumerate() {
            self.text(&format!("predictions[{k}].text"), &p.text, PARAGRAPH);
            self.text(&format!("predictions[{k}].explanation"), &p.explanation, PARAGRAPH);
        }
        for (k, o) in e.objectives.iter().enumerate() {
            self.text(&format!("objectives[{k}].text"), &o.text, PARAGRAPH);
        }
        for (k, end) in e.ends.iter().enumerate() {
            self.text(&format!("ends[{k}].text"), &end.text, PARAGRAPH);
        }
    }

    fn start(&mut self) {
        let s = &self.e.start;
        let (low, high) = engine::command::LOAD_RANGE;
        self.within("start.load", s.load, low, high);
        self.span("start.settle_s", s.settle_s);
        for (list, ids) in [("out", &s.out), ("isolated", &s.isolated)] {
            for (k, id) in ids.iter().enumerate() {
                self.closed(&format!("start.{list}[{k}]"), id);
            }
        }
    }

    /// Every command is tried: what the plant refuses only for the state it is in may be right later.
    fn commands(&mut self, sim: &mut Sim) {
        let e = self.e;
        for (k, pump) in e.start.cold.iter().enumerate() {
            if let Err(f) = sim.begin_cold(pump) {
                self.fault(&format!("start.cold[{k}]"), format!("{}: {}", f.place, f.message), f.remedy);
            }
        }
        let start = e.start.commands.iter().enumerate().map(|(k, c)| (format!("start.commands[{k}]"), c));
        let later = e.timeline.iter().enumerate().flat_map(|(j, h)| {
            h.commands.iter().enumerate().map(move |(k, c)| (format!("timeline[{j}].commands[{k}]"), c))
        });
        for (place, command) in start.chain(later) {
            if let Err(f) = sim.command(command)
                && !OF_THE_STATE.contains(&f.code.as_str())
            {
                self.fault(&place, format!("{}: {}", f.place, f.message), f.remedy);
            }
        }
    }

    fn signal(&mut self, place: &str, id: &str) -> Option<usize> {
        let found = self.names.signal(id);
        if found.is_none() {
            let of: Vec<&str> = match id.split_once('.') {
                Some((device, _)) if self.names.devices.iter().any(|d| d == device) => {
                    let own = self.names.signals.iter().filter(|d| d.device == device);
                    own.map(|d| d.id.as_str()).collect()
                }
                _ => self.names.devices.iter().map(String::as_str).collect(),
            };
            let remedy = format!("There is: {}.", of.join(", "));
            self.fault(place, format!("the plant has no signal '{id}'."), remedy);
        }
        found
    }

    fn closed(&mut self, place: &str, id: &str) {
        if !self.names.closed.iter().any(|c| c == id) {
            let remedy = format!("The closed heaters are {}.", self.names.closed.join(", "));
            self.fault(place, format!("the plant has no closed heater '{id}'."), remedy);
        }
    }

    fn device(&mut self, place: &str, id: &str) {
        if !self.names.devices.iter().any(|d| d == id) {
            let remedy = format!("There is: {}.", self.names.devices.join(", "));
            self.fault(place, format!("the plant has no device '{id}'."), remedy);
        }
    }

    fn happening(&mut self, place: &str, id: &str) {
        let known = self.e.timeline.iter().any(|h| h.id == id);
        self.need(known, place, || format!("the timeline has no '{id}'."));
    }

    fn pattern(&mut self, place: &str, p: &Pattern) {
        let kinds = &self.names.commands;
        let Some((_, fields)) = kinds.iter().find(|(kind, _)| p.kind() == Some(kind)) else {
            let list: Vec<&str> = kinds.iter().map(|(kind, _)| kind.as_str()).collect();
            let remedy = format!("'do' is one of {}.", list.join(", "));
            return self.fault(place, "this names no kind of command.".into(), remedy);
        };
        for (key, word) in &p.0 {
            let place = format!("{place}.{key}");
            if !fields.contains(key) {
                self.fault(
                    &place,
                    "this kind of command has no such field.".into(),
                    format!("It has {}.", fields.join(", ")),
                );
            } else if let ("heater", Word::Text(id)) = (key.as_str(), word) {
                // Feed pumps have valves with a handwheel too.
                match p.kind() {
                    Some("local_valve") => self.device(&place, id),
                    _ => self.closed(&place, id),
                }
            }
        }
    }

    fn moment(&mut self, place: &str, m: &Moment) {
        self.need(m.at_s.is_some() != m.happening.is_some(), place, || {
            "give either at_s or happening.".into()
        });
        self.span(&format!("{place}.plus_s"), m.plus_s);
        if let Some(at) = m.at_s {
            self.time(&format!("{place}.at_s"), at + m.plus_s);
        }
        if let Some(id) = &m.happening {
            self.happening(&format!("{place}.happening"), id);
        }
    }

    fn condition(&mut self, place: &str, c: &Condition, depth: usize) {
        if depth > DEEPEST {
            let message = format!("conditions lie more than {DEEPEST} deep in one another.");
            return self.fault(place, message, "Use fewer levels.".into());
        }
        let inside = |field: &str| format!("{place}.{field}");
        match c {
            Condition::Above { signal, value, held_s } | Condition::Below { signal, value, held_s } => {
                self.signal(&inside("signal"), signal);
                self.need(value.is_finite(), &inside("value"), || "this is no number.".into());
                self.span(&inside("held_s"), *held_s);
            }
            Condition::Inside { signal, low, high, held_s } => {
                self.signal(&inside("signal"), signal);
                self.need(low <= high, &inside("low"), || format!("{low} is above {high}."));
                self.span(&inside("held_s"), *held_s);
            }
            Condition::Mode { heater, held_s, .. } => {
                self.closed(&inside("heater"), heater);
                self.span(&inside("held_s"), *held_s);
            }
            Condition::After { time_s } => self.time(&inside("time_s"), *time_s),
            Condition::Done { command } => self.pattern(&inside("command"), command),
            Condition::Happened { device, .. } => {
                if let Some(device) = device {
                    self.device(&inside("device"), device);
                }
            }
            Condition::Fired { happening } => self.happening(&inside("happening"), happening),
            Condition::All { of } | Condition::Any { of } => {
                let fits = !of.is_empty() && of.len() <= MOST;
                self.need(fits, &inside("of"), || format!("{} conditions are not 1 to {MOST}.", of.len()));
                for (k, c) in of.iter().take(MOST).enumerate() {
                    self.condition(&inside(&format!("of[{k}]")), c, depth + 1);
                }
            }
            Condition::Not { of } => self.condition(&inside("of"), of, depth + 1),
        }
    }

    fn question(&mut self, here: &str, q: &Question) {
        self.time(&format!("{here}.from_s"), q.from_s);
        if let Some(until) = q.until_s {
            self.need(until > q.from_s && until <= self.e.length_s, &format!("{here}.until_s"), || {
                "this is not after from_s and within the exercise.".into()
            });
        }
        let at = |field: &str| format!("{here}.answer.{field}");
        match &q.answer {
            Asked::Choice { choices, right } => {
                let fits = (2..=12).contains(&choices.len());
                self.need(fits, &at("choices"), || "there are not 2 to 12 choices.".into());
                let fits = !right.is_empty() && distinct(right, choices.len());
                self.need(fits, &at("right"), || {
                    "this is no list of different indices of the choices, from 0.".into()
                });
            }
            Asked::Number { quantity, value, signal, tolerance } => {
                self.need(value.is_some() != signal.is_some(), &at("value"), || {
                    "give either value or signal.".into()
                });
                self.within(&at("tolerance"), *tolerance, 0.0, 1e9);
                if let Some(id) = signal
                    && let Some(k) = self.signal(&at("signal"), id)
                {
                    let measures = self.names.signals[k].quantity;
                    self.need(measures == *quantity, &at("quantity"), || {
                        format!("'{id}' is a {}, not a {}.", measures.key(), quantity.key())
                    });
                }
            }
            Asked::Component { right } => {
                self.need(!right.is_empty(), &at("right"), || "no component is right.".into());
                for (k, id) in right.iter().enumerate() {
                    self.device(&at(&format!("right[{k}]")), id);
                }
            }
            Asked::Order { actions, right } => {
                let fits = (2..=12).contains(&actions.len());
                self.need(fits, &at("actions"), || "there are not 2 to 12 actions.".into());
                let fits = right.len() == actions.len() && distinct(right, actions.len());
                self.need(fits, &at("right"), || "this is no order of the actions' indices, from 0.".into());
            }
        }
    }

    fn prediction(&mut self, here: &str, p: &Prediction) {
        let k = self.signal(&format!("{here}.signal"), &p.signal);
        if let Some(k) = k {
            let state = self.names.signals[k].quantity == Quantity::State;
            self.need(!state, &format!("{here}.signal"), || "a state is no number to be predicted.".into());
        }
        self.moment(&format!("{here}.moment"), &p.moment);
        let window = format!("{here}.window_s");
        self.within(&window, p.window_s, 1.0, LONGEST);
        if let Some(at) = p.moment.at_s {
            let (until, end) = (at + p.moment.plus_s + p.window_s, self.e.length_s);
            self.need(until <= end, &window, || format!("it lasts to {until} s, after the end at {end} s."));
        }
        let at = |field: &str| format!("{here}.what.{field}");
        if let Predicted::Direction { dead_band } | Predicted::Curve { dead_band, .. } = &p.what {
            self.within(&at("dead_band"), *dead_band, 0.0, 0.5);
        }
        if let Predicted::Value { tolerance } | Predicted::Curve { tolerance, .. } = &p.what {
            self.need(*tolerance > 0.0, &at("tolerance"), || format!("{tolerance} is not above 0."));
        }
    }

    fn objective(&mut self, here: &str, o: &Objective) {
        self.within(&format!("{here}.weight"), o.weight, 0.0, 1000.0);
        let at = |field: &str| format!("{here}.rule.{field}");
        match &o.rule {
            Rule::Reach { when, from, within_s, late_s } => {
                self.condition(&at("when"), when, 1);
                self.moment(&at("from"), from);
                self.span(&at("within_s"), *within_s);
                self.span(&at("late_s"), *late_s);
            }
            Rule::Keep { signal, low, high, from, until, allowed_s, lost_s, lost_by } => {
                self.signal(&at("signal"), signal);
                let (l, h) = (low.unwrap_or(f64::NEG_INFINITY), high.unwrap_or(f64::INFINITY));
                self.need(low.is_some() || high.is_some(), &at("low"), || "no limit is given.".into());
                self.need(l < h, &at("low"), || format!("{l} is not below {h}."));
                self.moment(&at("from"), from);
                if let Some(until) = until {
                    self.moment(&at("until"), until);
                }
                self.span(&at("allowed_s"), *allowed_s);
                self.need(*lost_s > 0.0, &at("lost_s"), || format!("{lost_s} s is not above 0 s."));
                if let Some(by) = lost_by {
                    self.need(*by > 0.0, &at("lost_by"), || format!("{by} is not above 0."));
                }
            }
            Rule::Never { when } => self.condition(&at("when"), when, 1),
            Rule::Before { first, then } => {
                self.condition(&at("first"), first, 1);
                self.condition(&at("then"), then, 1);
            }
            Rule::Act { from, commands, within_s, late_s } => {
                self.moment(&at("from"), from);
                self.need(!commands.is_empty(), &at("commands"), || "no command is named.".into());
                self.count(&at("commands"), commands.len());
                for (k, p) in commands.iter().enumerate() {
                    self.pattern(&at(&format!("commands[{k}]")), p);
                }
                self.span(&at("within_s"), *within_s);
                self.span(&at("late_s"), *late_s);
            }
            Rule::Answer { question } => {
                let known = self.e.questions.iter().any(|q| q.id == *question);
                self.need(known, &at("question"), || format!("there is no question '{question}'."));
            }
            Rule::Predict { prediction } => {
                let known = self.e.predictions.iter().any(|p| p.id == *prediction);
                self.need(known, &at("prediction"), || format!("there is no prediction '{prediction}'."));
            }
        }
    }
}
