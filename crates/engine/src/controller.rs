//! Controllers as an operator meets them: automatic or manual, with setpoint, output, tuning, limits and rate; and the
//! list of those that a plant has. Setpoints and what is measured are in mm of level or MPa of pressure, as the loop has it
//! ([`Loop::quantity`]); gains are per that unit.
//!
//! In manual the proportional-integral part goes on unseen, so that a heater whose drain is in hand still keeps its
//! level by the other one; back in automatic it starts from the output as it stands.

use crate::control::{Pi, PiParams};
use crate::fault::Fault;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use steam::units::Quantity;

/// Range of the gain that can be set, over the gain in the plant file.
const GAIN_RANGE: (f64, f64) = (0.01, 100.0);
/// Range of integral times [s].
const INTEGRAL_RANGE: (f64, f64) = (1.0, 1e5);

/// What a controller acts on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Loop {
    /// Level of a closed heater by its normal drain; while the heater is off, by its emergency drain.
    NormalDrain(usize),
    /// Level of a closed heater by its emergency drain: proportional, from its own mark up.
    EmergencyDrain(usize),
    /// Level of the open heater's tank by condensate, led by the feed flow: output is the share of design condensate
    /// at design feed flow.
    OpenLevel,
    /// Hotwell level by make-up, or overflow below 0: output is the share of the largest make-up.
    Hotwell,
    /// Drum level: trims the feed flow, which follows the steam flow; output is a share of design flow.
    Drum,
    /// Pressure of the open heater's tank, held from below by pegging steam: output is the opening of its valve.
    OpenPressure,
}

impl Loop {
    /// What it measures and is set by: a level about normal, or a pressure.
    pub fn quantity(self) -> Quantity {
        match self {
            Loop::OpenPressure => Quantity::Pressure,
            _ => Quantity::LevelOffset,
        }
    }

    /// It only keeps what it measures from falling below its setpoint: well above, its output stays at nothing, and no
    /// integral that a hand has left behind opens it again.
    fn keeps_from_below(self) -> bool {
        self == Loop::OpenPressure
    }

    /// Unit of that inside.
    pub fn unit(self) -> &'static str {
        match self {
            Loop::OpenPressure => "MPa",
            _ => "mm",
        }
    }
}

/// Settings of the plant; never change.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// `<device>.<name>`.
    pub id: String,
    /// What it acts on.
    pub acts: Loop,
    /// Gain, at first [output per unit].
    pub gain: f64,
    /// Integral time, at first [s]; none: proportional only.
    pub integral_time: Option<f64>,
    /// Setpoint, at first.
    pub setpoint: f64,
    /// Range of setpoints.
    pub setpoints: (f64, f64),
    /// Range of the output: what its limits can be set within.
    pub limits: (f64, f64),
    /// Largest change of the output [per s].
    pub rate: f64,
    /// A rising measurement asks for more output.
    pub direct: bool,
}

/// Memory of a controller.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Controller {
    /// Output set by hand; none in automatic.
    pub hand: Option<f64>,
    /// Setpoint.
    pub setpoint: f64,
    /// Gain [output per unit].
    pub gain: f64,
    /// Integral time [s]; none: proportional only.
    pub integral_time: Option<f64>,
    /// Limits of the output.
    pub limits: (f64, f64),
    pi: Pi,
    /// What the automatic asks for, in hand or not.
    pub automatic: f64,
    /// Output.
    pub output: f64,
}

/// A controller as an operator reads it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct View {
    /// `<device>.<name>`.
    pub id: String,
    /// What it measures.
    pub quantity: Quantity,
    /// Automatic or manual.
    pub mode: Mode,
    /// Setpoint.
    pub setpoint: f64,
    /// What it is shown.
    pub measured: f64,
    /// Output.
    pub output: f64,
    /// Gain [output per unit].
    pub gain: f64,
    /// Integral time [s]; none: proportional only.
    pub integral_time: Option<f64>,
    /// Range of setpoints.
    pub setpoints: (f64, f64),
    /// Limits of the output.
    pub limits: (f64, f64),
    /// Largest change of the output [per s].
    pub rate: f64,
    /// Range of gains [output per unit].
    pub gains: (f64, f64),
    /// Range of integral times [s].
    pub integral_times: (f64, f64),
    /// Setpoint, gain, integral time and limits as the plant has them.
    pub file: Tuning,
}

/// What a retune can change.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Tuning {
    /// Setpoint.
    pub setpoint: f64,
    /// Gain [output per unit].
    pub gain: f64,
    /// Integral time [s]; none: proportional only.
    pub integral_time: Option<f64>,
    /// Limits of the output: the widest that can be set.
    pub limits: (f64, f64),
}

/// Automatic or manual.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// The controller sets its output.
    Auto,
    /// The operator does.
    Manual,
}

/// What an operator asks of a controller; what is left out stays as it is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Request {
    /// Automatic or manual.
    pub mode: Option<Mode>,
    /// Setpoint.
    pub setpoint: Option<f64>,
    /// Output; asks for manual.
    pub output: Option<f64>,
    /// Gain [output per unit].
    pub gain: Option<f64>,
    /// Integral time [s].
    pub integral_time: Option<f64>,
    /// Lowest output.
    pub lowest: Option<f64>,
    /// Highest output.
    pub highest: Option<f64>,
}

impl Settings {
    /// Range of gains that can be set [output per unit].
    fn gains(&self) -> (f64, f64) {
        (GAIN_RANGE.0 * self.gain, GAIN_RANGE.1 * self.gain)
    }
}

impl Controller {
    /// In automatic, at its setpoint, with this output.
    pub fn at(p: &Settings, output: f64) -> Controller {
        let integral = if p.integral_time.is_some() { output } else { 0.0 };
        Controller {
            hand: None,
            setpoint: p.setpoint,
            gain: p.gain,
            integral_time: p.integral_time,
            limits: p.limits,
            pi: Pi::at(integral),
            automatic: output,
            output,
        }
    }

    /// In automatic.
    pub fn is_auto(&self) -> bool {
        self.hand.is_none()
    }

    /// As an operator reads it, shown this.
    pub fn view(&self, p: &Settings, measured: f64) -> View {
        View {
            id: p.id.clone(),
            quantity: p.acts.quantity(),
            mode: if self.is_auto() { Mode::Auto } else { Mode::Manual },
            setpoint: self.setpoint,
            measured,
            output: self.output,
            gain: self.gain,
            integral_time: self.integral_time,
            setpoints: p.setpoints,
            limits: self.limits,
            rate: p.rate,
            gains: p.gains(),
            integral_times: INTEGRAL_RANGE,
            file: Tuning {
                setpoint: p.setpoint,
                gain: p.gain,
                integral_time: p.integral_time,
                limits: p.limits,
            },
        }
    }

    fn tuning(&self) -> PiParams {
        PiParams { gain: self.gain, integral_time: self.integral_time.unwrap_or(f64::INFINITY) }
    }

    fn error(&self, p: &Settings, measured: f64) -> f64 {
        if p.direct { measured - self.setpoint } else { self.setpoint - measured }
    }

    /// Output for a measurement over `dt` seconds. A frozen one keeps its output, whatever is asked of it.
    pub fn step(&mut self, p: &Settings, measured: f64, frozen: bool, dt: f64) -> f64 {
        let error = self.error(p, measured);
        if frozen {
            self.follow(error, self.output);
            return self.output;
        }
        let (low, high) = self.limits;
        let most = p.rate * dt;
        // Limits that were narrowed may stand on one side of it.
        let within = ((self.automatic - most).clamp(low, high), (self.automatic + most).clamp(low, high));
        // Held by a rate it does not wind up, just as at a limit.
        self.automatic = self.pi.step(&self.tuning(), error, within, dt);
        if p.acts.keeps_from_below() {
            self.pi.integral = self.pi.integral.clamp(low, high);
        }
        let target = self.hand.unwrap_or(self.automatic).clamp(low, high);
        self.output += (target - self.output).clamp(-most, most);
        self.output
    }

    fn follow(&mut self, error: f64, output: f64) {
        if self.integral_time.is_some() {
            self.pi.track(&self.tuning(), error, output);
        }
        self.automatic = output;
    }

    /// Takes over at an output without a bump.
    pub fn take_over(&mut self, p: &Settings, measured: f64, output: f64) {
        let output = output.clamp(self.limits.0, self.limits.1);
        self.follow(self.error(p, measured), output);
        self.output = self.hand.unwrap_or(output);
    }

    /// Carries out a request, or says why not; then nothing has changed.
    ///
    /// # Errors
    /// A value out of range, an output asked of a controller that is to be in automatic, an integral time of one that is
    /// proportional only.
    pub fn request(&mut self, p: &Settings, measured: f64, r: &Request) -> Result<(), Fault> {
        let inside = |what: &str, value: Option<f64>, (low, high): (f64, f64)| match value {
            Some(v) if !(v >= low && v <= high) => Err(Fault::new(
                "out_of_range",
                p.id.clone(),
                format!("{v} is not a {what} that it can have."),
                format!("Give a value from {low} to {high}."),
            )),
            _ => Ok(()),
        };
        let unit = p.acts.unit();
        inside(&format!("setpoint [{unit}]"), r.setpoint, p.setpoints)?;
        inside(&format!("gain [per {unit}]"), r.gain, p.gains())?;
        inside("integral time [s]", r.integral_time, INTEGRAL_RANGE)?;
        inside("lowest output", r.lowest, p.limits)?;
        inside("highest output", r.highest, p.limits)?;
        let limits = (r.lowest.unwrap_or(self.limits.0), r.highest.unwrap_or(self.limits.1));
        if limits.0 >= limits.1 {
            return Err(Fault::new(
                "out_of_range",
                p.id.clone(),
                format!("the lowest output, {}, would not be below the highest, {}.", limits.0, limits.1),
                "Leave the output a range to move in.",
            ));
        }
        inside("output", r.output, limits)?;
        if r.integral_time.is_some() && p.integral_time.is_none() {
            return Err(Fault::new(
                "refused",
                p.id.clone(),
                "this controller is proportional only and has no integral time.",
                "Set its gain.",
            ));
        }
        if r.output.is_some() && (r.mode == Some(Mode::Auto) || (r.mode.is_none() && self.is_auto())) {
            return Err(Fault::new(
                "refused",
                p.id.clone(),
                "in automatic the controller sets its output itself.",
                "Take it in manual to set the output.",
            ));
        }
        self.setpoint = r.setpoint.unwrap_or(self.setpoint);
        self.gain = r.gain.unwrap_or(self.gain);
        self.integral_time = r.integral_time.or(self.integral_time);
        self.limits = limits;
        match r.mode {
            Some(Mode::Auto) => self.hand = None,
            Some(Mode::Manual) => self.hand = Some(r.output.or(self.hand).unwrap_or(self.output)),
            None => self.hand = self.hand.map(|h| r.output.unwrap_or(h)),
        }
        // Whatever was changed, the automatic goes on from the output as it stands.
        let retuned = r.gain.is_some() || r.integral_time.is_some() || r.setpoint.is_some();
        if r.mode == Some(Mode::Auto) {
            self.take_over(p, measured, self.output);
        } else if retuned {
            let automatic = self.automatic;
            self.follow(self.error(p, measured), automatic);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(integral_time: Option<f64>) -> Settings {
        Settings {
            id: "hp1.normal_drain".into(),
            acts: Loop::NormalDrain(0),
            gain: 0.004,
            integral_time,
            setpoint: 0.0,
            setpoints: (-100.0, 100.0),
            limits: (0.0, 1.0),
            rate: 0.2,
            direct: true,
        }
    }

    fn ask(mode: Option<Mode>, output: Option<f64>) -> Request {
        Request { mode, output, ..Request::default() }
    }

    #[test]
    fn manual_and_back_do_not_bump() {
        let p = settings(Some(60.0));
        let mut c = Controller::at(&p, 0.5);
        c.request(&p, 0.0, &ask(Some(Mode::Manual), None)).unwrap();
        assert_eq!(c.step(&p, 30.0, false, 0.25), 0.5);
        c.request(&p, 30.0, &ask(None, Some(0.8))).unwrap();
        // No faster than its rate.
        assert!((c.step(&p, 30.0, false, 0.25) - 0.55).abs() < 1e-12);
        for _ in 0..400 {
            c.step(&p, 30.0, false, 0.25);
        }
        assert_eq!(c.output, 0.8);
        c.request(&p, 30.0, &ask(Some(Mode::Auto), None)).unwrap();
        assert!((c.step(&p, 30.0, false, 0.25) - 0.8).abs() < 1e-3, "{}", c.output);
    }

    #[test]
    fn a_retune_does_not_bump_and_a_rate_does_not_wind_up() {
        let p = settings(Some(60.0));
        let mut c = Controller::at(&p, 0.5);
        for _ in 0..100 {
            c.step(&p, 10.0, false, 0.25);
        }
        let was = c.output;
        let faster = Request { gain: Some(0.02), integral_time: Some(20.0), ..Request::default() };
        c.request(&p, 10.0, &faster).unwrap();
        assert!((c.step(&p, 10.0, false, 0.25) - was).abs() < 0.01);
        // A long time far off: at its limit, and off it within a few steps of the error turning.
        for _ in 0..4000 {
            c.step(&p, 80.0, false, 0.25);
        }
        assert_eq!(c.output, 1.0);
        for _ in 0..8 {
            c.step(&p, -20.0, false, 0.25);
        }
        assert!(c.output < 0.7, "{}", c.output);
    }

    #[test]
    fn a_frozen_one_keeps_its_output_and_goes_on_from_it() {
        let p = settings(Some(60.0));
        let mut c = Controller::at(&p, 0.4);
        for _ in 0..400 {
            assert_eq!(c.step(&p, 50.0, true, 0.25), 0.4);
        }
        assert!((c.step(&p, 50.0, false, 0.25) - 0.4).abs() < 0.01);
    }

    #[test]
    fn a_proportional_one_is_proportional() {
        let p = Settings { setpoint: 65.0, gain: 1.0 / 50.0, ..settings(None) };
        let mut c = Controller::at(&p, 0.0);
        for _ in 0..100 {
            c.step(&p, 90.0, false, 0.25);
        }
        assert!((c.output - 0.5).abs() < 1e-12);
        for _ in 0..100 {
            c.step(&p, 60.0, false, 0.25);
        }
        assert_eq!(c.output, 0.0);
        let integral = Request { integral_time: Some(30.0), ..Request::default() };
        assert!(c.request(&p, 0.0, &integral).unwrap_err().message.contains("proportional only"));
    }

    #[test]
    fn it_says_why_it_refuses() {
        let p = settings(Some(60.0));
        let mut c = Controller::at(&p, 0.5);
        let before = c;
        let refused = c.request(&p, 0.0, &ask(None, Some(0.3))).unwrap_err();
        assert!(refused.remedy.contains("manual"));
        for bad in [1.1, -0.1, f64::NAN] {
            assert_eq!(
                c.request(&p, 0.0, &ask(Some(Mode::Manual), Some(bad))).unwrap_err().code,
                "out_of_range"
            );
        }
        let bad = Request { setpoint: Some(150.0), ..Request::default() };
        assert!(c.request(&p, 0.0, &bad).unwrap_err().remedy.contains("-100 to 100"));
        assert_eq!(c, before);
    }
}
