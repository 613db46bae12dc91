//! How well every tried fault fits what was read.

use super::locate::{DIGIT_V, Foreseen, METER_SPREAD, MODEL_SPREAD, PARTS, Read, Tried};

/// Spread of a current meter from place to place.
const CURRENT_SPREAD: f64 = 0.10;
/// Spread of what a current meter makes of such pulses at all, alike wherever it reads: how much more or less flows at one place than at another is
/// known better than how much it is.
const CURRENT_GAIN_SPREAD: f64 = 0.30;
/// Below this a current is noise, amperes.
const CURRENT_FLOOR_A: f64 = 0.05;
/// How often a direction is read right.
const DIRECTION_RIGHT: f64 = 0.95;
/// A fault that changes every reading by less than this share of a meter's spread is not seen by them.
const UNSEEN: f64 = 0.5;
/// Directions of weaker currents are hard to read, amperes.
const DIRECTION_FROM_A: f64 = 0.3;
/// Readings whose last digit is tried one up and one down: the lowest ones, where it counts most.
const MOST_STEPPED: usize = 40;

/// Every tried fault with its weight, all together 1: the mean over the readings as they are and with each a last digit more or less, so that what a
/// digit turns round is not told as if it were known.
pub(super) fn weighed(foreseen: &Foreseen, reads: &[Read]) -> Vec<Tried> {
    let fits = Fits::of(foreseen, reads);
    let mut sum = fits.shares(None);
    let mut volts: Vec<(usize, f64)> = reads.iter().enumerate().filter_map(|(meter, read)| Some((meter, read.volt?))).collect();
    volts.retain(|(meter, _)| foreseen.fine.meters.get(*meter).is_some_and(Option::is_some));
    volts.sort_by(|one, other| one.1.total_cmp(&other.1));
    volts.truncate(MOST_STEPPED);
    for (meter, volt) in &volts {
        for stepped in [volt - DIGIT_V, volt + DIGIT_V] {
            let shares = fits.shares(Some((*meter, *volt, stepped.max(0.0))));
            sum.iter_mut().zip(shares).for_each(|(sum, share)| *sum += share);
        }
    }
    let sets = (1 + 2 * volts.len()) as f64;
    foreseen.tried.iter().zip(sum).map(|(tried, sum)| Tried { weight: sum / sets, ..*tried }).collect()
}

/// Logarithms of how well faults fit, [`PARTS`] for each: at its resistance, and on the way to the next.
struct Fits<'a> {
    foreseen: &'a Foreseen,
    logs: Vec<f64>,
}

impl<'a> Fits<'a> {
    fn of(foreseen: &'a Foreseen, reads: &[Read]) -> Self {
        let one = |index: usize| {
            let tried = &foreseen.tried[index];
            (0..parts(foreseen, index)).map(move |part| {
                let values = |meter: usize| between(foreseen, index, part, meter);
                tried.before - (parts(foreseen, index) as f64).ln() + fit(foreseen, reads, values)
            })
        };
        Self { foreseen, logs: (0..foreseen.tried.len()).flat_map(one).collect() }
    }

    /// How probable every fault is, with one reading of a meter exchanged for another.
    fn shares(&self, stepped: Option<(usize, f64, f64)>) -> Vec<f64> {
        let count = self.foreseen.tried.len();
        let mut logs = self.logs.clone();
        if let Some((meter, was, is)) = stepped {
            let mut at = 0;
            for index in 0..count {
                for part in 0..parts(self.foreseen, index) {
                    let model_v = between(self.foreseen, index, part, meter).0;
                    logs[at] += volt_fit(is, model_v, was) - volt_fit(was, model_v, was);
                    at += 1;
                }
            }
        }
        let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let whole: f64 = logs.iter().map(|log| (log - top).exp()).sum();
        let mut at = 0;
        let share = |index: usize| {
            let mine = at..at + parts(self.foreseen, index);
            at = mine.end;
            logs[mine].iter().map(|log| (log - top).exp()).sum::<f64>() / whole
        };
        (0..count).map(share).collect()
    }
}

/// In how many parts the way to the next resistance is cut: one where the next is of another fault.
fn parts(foreseen: &Foreseen, index: usize) -> usize {
    let goes_on = foreseen.tried.get(index + 1).zip(foreseen.tried.get(index)).is_some_and(|(next, this)| {
        (next.place, next.sort, next.leak) == (this.place, this.sort, this.leak) && next.ohm < this.ohm * 10.0
    });
    if goes_on { PARTS } else { 1 }
}

/// What a meter would read that far on the way to the next resistance.
fn between(foreseen: &Foreseen, index: usize, part: usize, meter: usize) -> (f64, f64) {
    let meters = foreseen.fine.meters.len();
    let this = foreseen.values[index * meters + meter];
    if part == 0 {
        return this;
    }
    let next = foreseen.values[(index + 1) * meters + meter];
    let share = part as f64 / PARTS as f64;
    (this.0 + (next.0 - this.0) * share, this.1 + (next.1 - this.1) * share)
}

/// Logarithm of how well a voltage fits a reading; `meant`: the reading that says how wide its error is.
fn volt_fit(read_v: f64, model_v: f64, meant_v: f64) -> f64 {
    let spread = METER_SPREAD.hypot(MODEL_SPREAD) * meant_v;
    let miss = read_v - model_v;
    // Anywhere within a digit up or down: a third of its square.
    -miss * miss / (2.0 * (spread * spread + DIGIT_V * DIGIT_V / 3.0))
}

/// Logarithm of how well values by meter fit what was read.
fn fit(foreseen: &Foreseen, reads: &[Read], values: impl Fn(usize) -> (f64, f64)) -> f64 {
    let mut sum = 0.0;
    let (mut count, mut whole, mut squares) = (0.0, 0.0, 0.0);
    let known = foreseen.fine.meters.iter().zip(reads).enumerate().filter(|(_, (meter, _))| meter.is_some());
    for (meter, (_, read)) in known {
        let (model_v, model_a) = values(meter);
        if let Some(read_v) = read.volt {
            sum += volt_fit(read_v, model_v, read_v);
        }
        if let Some(read_a) = read.ampere {
            let miss = ((read_a.abs() + CURRENT_FLOOR_A) / (model_a.abs() + CURRENT_FLOOR_A)).ln();
            count += 1.0;
            whole += miss;
            squares += miss * miss;
        }
        if let Some(towards_end) = read.towards_end {
            let sure = (DIRECTION_RIGHT - 0.5) * model_a.abs() / (model_a.abs() + DIRECTION_FROM_A);
            sum += if towards_end == (model_a > 0.0) { 0.5 + sure } else { 0.5 - sure }.ln();
        }
    }
    // Each current errs by itself, and all of them by one factor: the inverse of s^2 I + g^2 1 1^T.
    let (own, gain) = (CURRENT_SPREAD * CURRENT_SPREAD, CURRENT_GAIN_SPREAD * CURRENT_GAIN_SPREAD);
    sum - (squares - gain * whole * whole / (own + count * gain)) / (2.0 * own)
}

/// Whether a meter tells one from the other.
pub(super) fn differ((volt, ampere): (f64, f64), (other_v, other_a): (f64, f64)) -> bool {
    let volts = (volt - other_v).abs() / (METER_SPREAD * other_v).hypot(DIGIT_V);
    let amperes = ((ampere.abs() + CURRENT_FLOOR_A) / (other_a.abs() + CURRENT_FLOOR_A)).ln().abs();
    volts > UNSEEN || amperes > UNSEEN * CURRENT_SPREAD
}
