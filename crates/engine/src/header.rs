//! Pumps in parallel on one header: how they share the flow that the line behind takes.
//!
//! Each pump's curve gives its flow at the header's pressure, less what its minimum-flow line takes back; a check valve
//! keeps the header's water from running back through a pump that does not reach it. The higher the header's pressure,
//! the less the pumps give; the more the line takes, the higher the pressure it asks: one root, which always exists.
//!
//! What leaks from the line to places of lower pressure is given besides, the more the higher the header stands. Where the
//! pumps do not reach what the line asks for no flow at all, its check valve is shut and they feed the leaks alone: the
//! header falls to where both meet, without pumps to where nothing leaks.

use crate::pump::Curve;
use crate::solve::{self, Root};
use crate::sought::Sought;
use serde::{Deserialize, Serialize};
use std::convert::Infallible;

/// Tolerance of the flow, over design.
const TOLERANCE: f64 = 1e-12;
/// Largest flow looked for, over design.
const MOST: f64 = 8.0;

/// A pump as the header feels it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Its curve.
    pub curve: Curve,
    /// Speed [share of design].
    pub speed: f64,
    /// Share of its head that vapour and wear leave it.
    pub strength: f64,
    /// Its minimum-flow line at the present opening [kg/s per square root of MPa].
    pub back: f64,
    /// Its warm-up line, from the header to its discharge, at the present opening [kg/s per square root of MPa].
    pub warm: f64,
}

/// Where the pumps draw and where their minimum-flow lines end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// Pressure at the suction [MPa].
    pub suction: f64,
    /// Pressure of a metre of the water pumped [MPa].
    pub per_metre: f64,
    /// Pressure against which the minimum-flow lines pass, as at the pumps' height [MPa].
    pub end: f64,
}

/// What stands behind the header.
pub struct Behind<Line, Leaks> {
    /// Pressure [MPa] that the line asks at a flow that goes on [kg/s]; it must not fall as the flow rises.
    pub line: Line,
    /// Flow that a valve behind the header lets pass [kg/s]; infinite without one.
    pub most: f64,
    /// What leaks [kg/s] at a header pressure [MPa]; it must not fall as the pressure rises.
    pub leaks: Leaks,
}

/// Nothing leaks.
pub fn tight(_: f64) -> f64 {
    0.0
}

/// What one pump gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Share {
    /// Through the pump [kg/s].
    pub flow: f64,
    /// Of which back through its minimum-flow line [kg/s].
    pub back: f64,
    /// Pressure at its discharge [MPa].
    pub discharge: f64,
    /// Taken from the header through its warm-up line [kg/s].
    pub warm: f64,
}

impl Share {
    /// Into the header, or out of it below 0 [kg/s].
    pub fn given(&self) -> f64 {
        self.flow - self.back - self.warm
    }
}

impl Source {
    /// What it gives at a header pressure [MPa].
    pub fn at(&self, header: f64, e: &Ends) -> Share {
        let flow = self.curve.flow(self.speed, self.strength, (header - e.suction) / e.per_metre);
        let back = self.back * (header - e.end).max(0.0).sqrt();
        if flow >= back && flow > 0.0 {
            return Share { flow, back, discharge: header, warm: 0.0 };
        }
        let warm = |discharge: f64| {
            if self.warm > 0.0 { self.warm * (header - discharge).max(0.0).sqrt() } else { 0.0 }
        };
        // The check valve is shut: the minimum-flow line alone. Head falls and the line's loss rises with flow², so that
        // both meet where a straight line in pressure does.
        let head = self.curve.head * self.strength * e.per_metre;
        let top = e.suction + head * self.curve.shutoff * self.speed * self.speed;
        let fall = head * (self.curve.shutoff - 1.0) / (self.curve.flow * self.curve.flow);
        let k = fall * self.back * self.back;
        let discharge = (top + k * e.end) / (1.0 + k);
        if !(discharge > e.end) {
            return Share { flow: 0.0, back: 0.0, discharge: top, warm: warm(top) };
        }
        let back = self.back * (discharge - e.end).sqrt();
        Share { flow: back, back, discharge, warm: warm(discharge) }
    }
}

/// Where the searches for a header start: where the last ones ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// Flow [kg/s], as the line takes it.
    flow: Sought,
    /// Pressure [MPa], where a valve holds the flow or none goes on.
    pressure: Sought,
}

/// Flow that goes on in the line [kg/s] and the header's pressure [MPa]; `shares` is filled with what each pump gives.
///
/// `design` [kg/s] is the searches' measure, and where the first one starts.
pub fn meet<Line: Fn(f64) -> f64, Leaks: Fn(f64) -> f64>(
    pumps: &[Source],
    e: &Ends,
    Behind { line, most, leaks }: &Behind<Line, Leaks>,
    (found, design): (&mut Found, f64),
    shares: &mut Vec<Share>,
) -> (f64, f64) {
    // Without what leaks.
    let given =
        |header: f64| pumps.iter().map(|p| p.at(header, e)).map(|s| s.given()).sum::<f64>() - leaks(header);
    let from = *found;
    let at_pressure = |flow: f64, range: (f64, f64)| {
        sure_root(range, from.pressure.guess_or(range.1), range.1, |header| flow - given(header))
    };
    let most = most.max(0.0);
    if most < MOST * design && most < given(line(most)) {
        // The valve takes the rest of the head: the pumps stand higher on their curves.
        let low = line(most);
        let high = pumps.iter().map(|p| p.at(f64::INFINITY, e).discharge).fold(low, f64::max);
        let header = at_pressure(most, (low, high));
        found.pressure.is(header);
        return told(pumps, e, (most, header), shares);
    }
    let range = (0.0, MOST * design);
    let flow = sure_root(range, from.flow.guess_or(design), design, |flow| flow - given(line(flow)));
    let mut header = line(flow);
    if flow > 0.0 {
        found.flow.is(flow);
    } else if given(header) < 0.0 {
        // Nothing goes up the line, whose check valve holds its pressure: what the pumps give, warm-up lines and leaks take.
        let leaking = leaks(header) > 0.0;
        let standing = pumps.iter().map(|p| p.at(0.0, e).discharge).fold(header, f64::min);
        let least = if leaking { 0.0 } else { standing };
        let falls = leaking || given(least) > 0.0;
        header = if falls { at_pressure(0.0, (least, header)) } else { least };
        found.pressure.is(header);
    }
    told(pumps, e, (flow, header), shares)
}

/// Root of a function that does not fall, near `guess`, to [`TOLERANCE`] of `scale`. Where a pump just reaches the header the
/// slope has no bound, so that a small step tells nothing: what is found quickly has to hold between two signs, or the bracket
/// searches.
fn sure_root((low, high): (f64, f64), guess: f64, scale: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (stride, tolerance) = (1e-3 * scale, TOLERANCE * scale);
    let near: Result<_, Infallible> =
        solve::near_root((low, high), guess, &mut 0.0, stride, tolerance, |x| Ok((f(x), ())));
    let Ok((Root { x, .. }, ())) = near;
    if f((x - tolerance).max(low)) <= 0.0 && f((x + tolerance).min(high)) >= 0.0 {
        return x;
    }
    let sure: Result<_, Infallible> = solve::rising_root(low, high, x, stride, tolerance, |x| Ok(f(x)));
    let Ok(root) = sure;
    root.x
}

/// Fills `shares` with what each pump gives where flow and pressure have been met.
fn told(pumps: &[Source], e: &Ends, (flow, header): (f64, f64), shares: &mut Vec<Share>) -> (f64, f64) {
    shares.clear();
    shares.extend(pumps.iter().map(|p| p.at(header, e)));
    (flow, header)
}

#[cfg(test)]
mod tests {
    use super::*;

    const CURVE: Curve =
        Curve { flow: 100.0, head: 2000.0, shutoff: 1.25, efficiency: 0.82, npsh_required: 10.0 };
    /// 1 MPa at the suction, cold water: about 19.6 MPa of design head.
    const ENDS: Ends = Ends { suction: 1.0, per_metre: 9.806_65e-3, end: 0.7 };

    fn pump(speed: f64) -> Source {
        Source { curve: CURVE, speed, strength: 1.0, back: 0.0, warm: 0.0 }
    }

    fn line(flow: f64) -> f64 {
        18.6 + 2.0 * (flow / 200.0) * (flow / 200.0)
    }

    type OfOne = fn(f64) -> f64;

    fn open(most: f64) -> Behind<OfOne, OfOne> {
        Behind { line, most, leaks: tight }
    }

    fn solved(pumps: &[Source]) -> (f64, f64, Vec<Share>) {
        let mut shares = Vec::new();
        let from = (&mut Found::default(), 200.0);
        let (flow, header) = meet(pumps, &ENDS, &open(f64::INFINITY), from, &mut shares);
        let sum: f64 = shares.iter().map(Share::given).sum();
        assert!((sum - flow).abs() < 1e-6, "{sum} of {flow}");
        assert!((header - line(flow)).abs() < 1e-9);
        (flow, header, shares)
    }

    /// Both parabolas, by hand: 1 + 2000·9.80665e-3·(1.25 n² - 0.25 (W/200)²) = 18.6 + 2 (W/200)².
    #[test]
    fn two_equal_pumps_share_the_flow() {
        let (flow, _, shares) = solved(&[pump(1.0), pump(1.0)]);
        let head: f64 = 2000.0 * 9.806_65e-3;
        let w = ((1.0 + 1.25 * head - 18.6) / (2.0 + 0.25 * head)).sqrt();
        assert!((flow - 200.0 * w).abs() < 1e-6, "{flow}");
        assert!((shares[0].flow - 0.5 * flow).abs() < 1e-6 && shares[0] == shares[1]);
    }

    #[test]
    fn a_slower_pump_gives_less_and_at_last_nothing() {
        let (mut last, mut alone) = (f64::INFINITY, false);
        let (single, _, _) = solved(&[pump(1.0)]);
        for k in 0..=50 {
            let (flow, _, shares) = solved(&[pump(1.0), pump(1.0 - 0.01 * f64::from(k))]);
            assert!(flow <= last && shares[0].flow >= shares[1].flow);
            if shares[1].flow == 0.0 {
                // The check valve: no water runs back, and the other pump gives what it gives alone.
                alone = true;
                assert!((flow - single).abs() < 1e-6);
            }
            last = flow;
        }
        assert!(alone);
    }

    #[test]
    fn a_pump_that_does_not_reach_the_header_still_passes_its_minimum_flow() {
        let low = Source { back: 5.0, ..pump(0.7) };
        let (_, header, shares) = solved(&[pump(1.0), low]);
        let s = shares[1];
        assert!(s.flow > 0.0 && s.flow == s.back && s.discharge < header, "{s:?}");
        // On its own curve and on its line's.
        let head = CURVE.head(0.7, s.flow / 100.0) * ENDS.per_metre + ENDS.suction;
        assert!((head - s.discharge).abs() < 1e-9);
        assert!((5.0 * (s.discharge - ENDS.end).sqrt() - s.flow).abs() < 1e-9);
    }

    #[test]
    fn an_open_minimum_flow_line_takes_from_the_header() {
        let (all, _, _) = solved(&[pump(1.0), pump(1.0)]);
        let (less, _, shares) = solved(&[pump(1.0), Source { back: 6.0, ..pump(1.0) }]);
        assert!(less < all && shares[1].back > 20.0);
        // The pump that loses it moves out on its curve, but gives less forward.
        assert!((shares[1].flow - shares[0].flow).abs() < 1e-6 && shares[1].flow > 0.5 * all);
    }

    /// From the header through the warm-up line of one that stands: K sqrt(header - suction), which the other pump gives.
    #[test]
    fn a_warm_up_line_takes_from_the_header() {
        let (all, _, _) = solved(&[pump(1.0), pump(0.0)]);
        let (less, header, shares) = solved(&[pump(1.0), Source { warm: 0.2, ..pump(0.0) }]);
        let w = 0.2 * (header - ENDS.suction).sqrt();
        assert!((shares[1].warm - w).abs() < 1e-12 && w > 0.8, "{shares:?}");
        assert!(less < all && (shares[0].flow - less - w).abs() < 1e-6);
        // Round a pump that runs it passes nothing.
        let (same, _, shares) = solved(&[Source { warm: 0.2, ..pump(1.0) }, pump(0.0)]);
        assert!(same == all && shares[0].warm == 0.0);
    }

    /// With the line's check valve shut the header stands where the pumps give what the warm-up lines take; at standstill
    /// nothing passes.
    #[test]
    fn warm_up_lines_share_what_does_not_go_up_the_line() {
        let mut shares = Vec::new();
        let warmed = Source { warm: 0.2, ..pump(0.0) };
        let slow = [pump(0.6), warmed];
        let mut found = Found::default();
        let (flow, header) = meet(&slow, &ENDS, &open(f64::INFINITY), (&mut found, 200.0), &mut shares);
        assert!(flow == 0.0 && header < line(0.0), "{flow} {header}");
        assert!(shares[1].warm > 0.5 && (shares[0].flow - shares[1].warm).abs() < 1e-9, "{shares:?}");
        let head = CURVE.head(0.6, shares[0].flow / 100.0) * ENDS.per_metre + ENDS.suction;
        assert!((head - header).abs() < 1e-9, "{head} {header}");
        let (flow, _) = meet(&[warmed; 2], &ENDS, &open(f64::INFINITY), (&mut found, 200.0), &mut shares);
        assert!(flow == 0.0 && shares.iter().all(|s| s.flow == 0.0 && s.warm == 0.0), "{shares:?}");
    }

    #[test]
    fn a_valve_behind_the_header_throttles() {
        let mut shares = Vec::new();
        let pumps = [pump(1.0), pump(1.0)];
        let from = (&mut Found::default(), 200.0);
        let (flow, header) = meet(&pumps, &ENDS, &open(120.0), from, &mut shares);
        assert_eq!(flow, 120.0);
        assert!((shares[0].flow - 60.0).abs() < 1e-6 && header > line(120.0));
        let head = CURVE.head(1.0, 0.6) * ENDS.per_metre + ENDS.suction;
        assert!((header - head).abs() < 1e-9, "{header} {head}");
    }

    #[test]
    fn pumps_at_rest_give_nothing() {
        let (mut found, mut shares) = (Found::default(), Vec::new());
        for _ in 0..3 {
            let from = (&mut found, 200.0);
            let (flow, _) = meet(&[pump(0.0); 2], &ENDS, &open(f64::INFINITY), from, &mut shares);
            assert_eq!(flow, 0.0);
            assert!(shares.iter().all(|s| s.flow == 0.0));
        }
    }

    /// Whatever the last search has left behind, as where a pump just reached the header and the slope had no bound: pumps
    /// that come, go and coast, valves that shut and open give what a search gives that begins anew.
    #[test]
    fn what_was_found_last_leads_nowhere_else() {
        let mut found = Found::default();
        let (mut kept, mut anew) = (Vec::new(), Vec::new());
        let behind = |most| Behind { line, most, leaks: |_| 0.0 };
        for k in 0..4000_u32 {
            // Any order that meets all of them beside each other.
            let pick = |n: u32, of: u32| (k.wrapping_mul(2_654_435_761).rotate_left(n) >> 8) % of;
            let speed = |n| 0.01 * f64::from(pick(n, 106));
            let warmed = Source { warm: 0.05 * f64::from(pick(3, 5)), ..pump(speed(5)) };
            let pumps = [pump(speed(11)), Source { back: 3.0 * f64::from(pick(17, 3)), ..warmed }];
            let most = [f64::INFINITY, 0.0, 1e-6, 80.0][pick(23, 4) as usize];
            let (flow, header) = meet(&pumps, &ENDS, &behind(most), (&mut found, 200.0), &mut kept);
            let (w, p) = meet(&pumps, &ENDS, &behind(most), (&mut Found::default(), 200.0), &mut anew);
            assert!((flow - w).abs() < 1e-6 && (header - p).abs() < 1e-6, "{k}: {flow} {header}, {w} {p}");
            let given = |shares: &[Share]| shares.iter().map(Share::given).sum::<f64>();
            assert!((given(&kept) - given(&anew)).abs() < 1e-4, "{k}: {} {}", given(&kept), given(&anew));
        }
    }

    /// An orifice to a place at 1 MPa that passes 30 kg/s at design pressure.
    fn orifice(header: f64) -> f64 {
        30.0 * ((header - 1.0).max(0.0) / 19.6).sqrt()
    }

    fn leaking(pumps: &[Source], found: &mut Found) -> (f64, f64, f64) {
        let mut shares = Vec::new();
        let behind = Behind { line, most: f64::INFINITY, leaks: orifice };
        let (flow, header) = meet(pumps, &ENDS, &behind, (found, 200.0), &mut shares);
        let sum: f64 = shares.iter().map(|s| s.flow - s.back).sum();
        assert!((sum - flow - orifice(header)).abs() < 1e-6, "{sum}: {flow} and {}", orifice(header));
        (flow, header, sum)
    }

    /// The slower the pumps, the less goes on; then the line's check valve shuts, and what leaks is all they give, until at
    /// rest the header stands no higher than where it leaks to.
    #[test]
    fn pumps_feed_a_leak_also_when_nothing_goes_on() {
        let (tight, ..) = solved(&[pump(1.0), pump(1.0)]);
        let mut found = Found::default();
        let (flow, header, given) = leaking(&[pump(1.0), pump(1.0)], &mut found);
        assert!(flow < tight && given > tight && header == line(flow));
        let (mut last, mut alone) = ((flow, header), 0);
        for k in 1..=100 {
            let (flow, header, _) = leaking(&[pump(1.0 - 0.01 * f64::from(k)); 2], &mut found);
            assert!(flow <= last.0 && header <= last.1 + 1e-9, "{k}: {flow} {header} after {last:?}");
            if flow == 0.0 && header > 1.0 {
                assert!(header <= line(0.0) && orifice(header) > 0.0);
                alone += 1;
            }
            last = (flow, header);
        }
        assert!(alone > 20, "{alone}");
        assert_eq!((last.0, orifice(last.1)), (0.0, 0.0));
    }

    /// By hand: a pump without minimum flow whose head at rest is below the line's, 1 + 1.25 n² H = p + what its flow costs.
    #[test]
    fn a_pump_that_does_not_reach_the_line_stands_where_its_curve_meets_the_leak() {
        let (flow, header, given) = leaking(&[pump(0.8)], &mut Found::default());
        let head = CURVE.head(0.8, given / 100.0) * ENDS.per_metre + ENDS.suction;
        assert!(flow == 0.0 && (head - header).abs() < 1e-9 && header < line(0.0), "{flow} {header} {head}");
    }
}
