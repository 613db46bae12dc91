//! From frequencies back to time: the pulse is solved on a line of complex frequencies and brought back by one FFT.

use num_complex::Complex64;
use rustfft::{Fft, FftPlanner};
use std::f64::consts::PI;
use std::sync::{Arc, LazyLock};

/// Share of the window that is used: the end of it is noise that the damping has blown up.
const USED: f64 = 0.75;
/// Samples of a mean on the tail of a pulse.
const TAIL_SAMPLES: usize = 9;

/// Complex frequencies on a damped line, and the way back from them to a pulse in time:
/// `s_k = c + j (2k+1) pi / T`, `c = -ln(eps) / T`,
/// `v(t_n) = (2/T) e^(c t_n) Re(e^(j pi t_n / T) sum_k sigma_k F(s_k) e^(j 2 pi k n / N))`, `t_n = n T / N`,
/// with a taper `sigma_k` of one up to half the highest frequency and half a cosine from there to zero. Lanczos factors in its place take
/// from the middle frequencies too, which rounds fronts that come back sharp from open ends: a peak there read 1.6 % low, now 0.4 %.
///
/// # Units
/// Seconds, 1/s.
/// # Source
/// `numerical-laplace`.
pub struct Spectrum {
    window_s: f64,
    points: Vec<Complex64>,
    /// Taper times 2/T, by frequency.
    weights: Vec<f64>,
    /// Blown-up phase, by sample that is used: `e^(c t_n) e^(j pi t_n / T)`.
    phases: Vec<Complex64>,
    fft: Arc<dyn Fft<f64>>,
}

/// Memory that is used again from one pulse to the next.
#[derive(Debug, Default)]
pub(super) struct Work {
    values: Vec<Complex64>,
    scratch: Vec<Complex64>,
}

/// A pulse in time, from its start, evenly sampled.
#[derive(Clone, Debug, PartialEq)]
pub struct Pulse {
    /// Volts or amperes.
    pub samples: Vec<f64>,
    /// Time between two samples, seconds.
    pub step_s: f64,
}

/// The highest value of a pulse.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Peak {
    /// Volts or amperes, with its sign.
    pub value: f64,
    /// When, after the start of the pulse, seconds.
    pub at_s: f64,
}

impl Spectrum {
    /// A window of `window_s` sampled `samples` times and damped to `left` at its end.
    pub fn new(window_s: f64, samples: usize, left: f64) -> Self {
        let half = samples / 2;
        let damping = -left.ln() / window_s;
        let odd = |k: usize| (2 * k + 1) as f64;
        let points = (0..half).map(|k| Complex64::new(damping, odd(k) * PI / window_s)).collect();
        let weights = (0..half).map(|k| taper(odd(k) / samples as f64) * 2.0 / window_s);
        let phases = (0..(samples as f64 * USED) as usize).map(|n| {
            let share = n as f64 / samples as f64;
            Complex64::from_polar((damping * share * window_s).exp(), PI * share)
        });
        let weights = weights.collect();
        let phases = phases.collect();
        Self { window_s, points, weights, phases, fft: FftPlanner::new().plan_fft_inverse(samples) }
    }

    /// For everything that is shown and follows the mouse: 0.4 ms, 384 samples. Peaks are within 0.8 % of ngspice's, as a rule within
    /// 0.2 %.
    pub fn quick() -> &'static Self {
        static QUICK: LazyLock<Spectrum> = LazyLock::new(|| Spectrum::new(0.4e-3, 384, 1e-3));
        &QUICK
    }

    /// For tables and tests: a millisecond, 2048 samples.
    pub fn fine() -> &'static Self {
        static FINE: LazyLock<Spectrum> = LazyLock::new(|| Spectrum::new(1e-3, 2048, 1e-5));
        &FINE
    }

    /// The complex frequencies, 1/s.
    pub fn points(&self) -> &[Complex64] {
        &self.points
    }

    /// Time between two samples, seconds.
    pub fn step_s(&self) -> f64 {
        self.window_s / (2 * self.points.len()) as f64
    }

    /// The pulse whose values at [`Self::points`] are given.
    pub fn pulse(&self, values: &[Complex64]) -> Pulse {
        self.pulse_in(&mut Work::default(), values.iter().copied())
    }

    /// As [`Self::pulse`], in memory that is used again.
    pub(super) fn pulse_in(&self, work: &mut Work, values: impl Iterator<Item = Complex64>) -> Pulse {
        let Work { values: line, scratch } = work;
        line.clear();
        line.extend(values.zip(&self.weights).map(|(value, weight)| value * *weight));
        line.resize(2 * self.points.len(), Complex64::ZERO);
        scratch.resize(self.fft.get_inplace_scratch_len(), Complex64::ZERO);
        self.fft.process_with_scratch(line, scratch);
        let samples = line.iter().zip(&self.phases).map(|(value, phase)| value.re * phase.re - value.im * phase.im);
        Pulse { samples: samples.collect(), step_s: self.step_s() }
    }

    /// Two pulses by one FFT: with both halves of the line filled, so that each pulse comes back real by itself, one is carried by the real part and
    /// the other by the imaginary part: `H_k = (F_k + j G_k)/2`, `H_(N-1-k) = (F_k* + j G_k*)/2`.
    pub(super) fn two_pulses_in(&self, work: &mut Work, values: impl Iterator<Item = (Complex64, Complex64)>) -> [Pulse; 2] {
        let Work { values: line, scratch } = work;
        line.clear();
        line.resize(2 * self.points.len(), Complex64::ZERO);
        let (low, high) = line.split_at_mut(self.points.len());
        for (((one, other), weight), (low, high)) in values.zip(&self.weights).zip(low.iter_mut().zip(high.iter_mut().rev())) {
            let (one, other) = (one * (0.5 * weight), other * (0.5 * weight));
            *low = Complex64::new(one.re - other.im, one.im + other.re);
            *high = Complex64::new(one.re + other.im, other.re - one.im);
        }
        scratch.resize(self.fft.get_inplace_scratch_len(), Complex64::ZERO);
        self.fft.process_with_scratch(line, scratch);
        let turned = || line.iter().zip(&self.phases).map(|(value, phase)| value * phase);
        let step_s = self.step_s();
        [
            Pulse { samples: turned().map(|value| value.re).collect(), step_s },
            Pulse { samples: turned().map(|value| value.im).collect(), step_s },
        ]
    }
}

impl Pulse {
    /// The highest value by size, through a parabola over three samples.
    pub fn peak(&self) -> Peak {
        let (mut top, mut at) = (0.0_f64, 0);
        for (n, value) in self.samples.iter().enumerate() {
            if value.abs() > top {
                (top, at) = (value.abs(), n);
            }
        }
        if at == 0 || at + 1 >= self.samples.len() {
            return Peak { value: self.samples.get(at).copied().unwrap_or(0.0), at_s: at as f64 * self.step_s };
        }
        let [before, middle, after] = [self.samples[at - 1], self.samples[at], self.samples[at + 1]];
        let bend = before - 2.0 * middle + after;
        let shift = if bend.abs() > 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
        Peak { value: middle - 0.25 * (before - after) * shift, at_s: (at as f64 + shift) * self.step_s }
    }

    /// Integral of the square over all time, its exponential tail after the window included: times 1/R the energy of a voltage
    /// over R, times R that of a current.
    ///
    /// # Units
    /// Square of the samples times seconds.
    pub fn square_seconds(&self) -> f64 {
        let inside: f64 =
            self.samples.windows(2).map(|pair| pair[0] * pair[0] + pair[1] * pair[1]).sum::<f64>() * 0.5 * self.step_s;
        inside + self.tail_square_seconds()
    }

    /// What lies after the last sample, if the pulse fades out as it did between three fifths of the used window and its end.
    fn tail_square_seconds(&self) -> f64 {
        let last = self.samples.len();
        let from = last * 3 / 5;
        if from < TAIL_SAMPLES || last - from < 2 * TAIL_SAMPLES {
            return 0.0;
        }
        let mean = |end: usize| self.samples[end - TAIL_SAMPLES..end].iter().sum::<f64>() / TAIL_SAMPLES as f64;
        let (early, late) = (mean(from), mean(last));
        if !(late.abs() > 0.0 && early / late > 1.0) {
            return 0.0;
        }
        let fade_s = (last - from) as f64 * self.step_s / (early / late).ln();
        // The mean stands half its samples before the end.
        let at_end = late * (-(TAIL_SAMPLES as f64 / 2.0) * self.step_s / fade_s).exp();
        at_end * at_end * fade_s / 2.0
    }
}

/// One up to half of the highest frequency, then half a cosine down to nothing; `share` is the frequency's share of the highest.
fn taper(share: f64) -> f64 {
    if share <= 0.5 { 1.0 } else { 0.5 - 0.5 * (2.0 * PI * share).cos() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decaying_pulse_comes_back_as_its_closed_form() {
        // 1/(s+a) - 1/(s+b) is exp(-at) - exp(-bt).
        let (slow, fast) = (1.0 / 80e-6, 1.0 / 5e-6);
        for (spectrum, tolerance) in [(Spectrum::quick(), 3e-3), (Spectrum::fine(), 3e-4)] {
            let values: Vec<_> = spectrum.points().iter().map(|s| 1.0 / (s + slow) - 1.0 / (s + fast)).collect();
            let pulse = spectrum.pulse(&values);
            let closed = |t: f64| (-slow * t).exp() - (-fast * t).exp();
            let at_s = (fast / slow).ln() / (fast - slow);
            let peak = pulse.peak();
            assert!((peak.value / closed(at_s) - 1.0).abs() < tolerance, "{peak:?} for {}", closed(at_s));
            assert!((peak.at_s - at_s).abs() < 0.4 * spectrum.step_s() + 1e-7, "{peak:?} for {at_s}");
            let square = 1.0 / (2.0 * slow) + 1.0 / (2.0 * fast) - 2.0 / (slow + fast);
            assert!((pulse.square_seconds() / square - 1.0).abs() < tolerance, "{} for {square}", pulse.square_seconds());
        }
    }

    #[test]
    fn two_pulses_at_once_are_what_each_is_by_itself() {
        for spectrum in [Spectrum::quick(), Spectrum::fine()] {
            let one = |s: &Complex64| 5000.0 * (1.0 / (s + 1.2e4) - 1.0 / (s + 2e5));
            let other = |s: &Complex64| -300.0 / (s + 4e4) * (s * -3e-6).exp();
            let both = spectrum.two_pulses_in(&mut Work::default(), spectrum.points().iter().map(|s| (one(s), other(s))));
            let alone = [spectrum.pulse(&spectrum.points().iter().map(one).collect::<Vec<_>>()), {
                spectrum.pulse(&spectrum.points().iter().map(other).collect::<Vec<_>>())
            }];
            for (both, alone) in both.iter().zip(&alone) {
                let off = both.samples.iter().zip(&alone.samples).map(|(one, other)| (one - other).abs()).fold(0.0, f64::max);
                assert!(both.samples.len() == alone.samples.len() && off < 1e-6, "{off}");
            }
        }
    }

    #[test]
    fn a_tail_longer_than_the_window_is_counted() {
        let slow = 1.0 / 900e-6;
        let spectrum = Spectrum::quick();
        let values: Vec<_> = spectrum.points().iter().map(|s| 1.0 / (s + slow) - 1.0 / (s + 2e5)).collect();
        let square = spectrum.pulse(&values).square_seconds();
        let closed = 1.0 / (2.0 * slow) + 1.0 / (2.0 * 2e5) - 2.0 / (slow + 2e5);
        assert!((square / closed - 1.0).abs() < 0.015, "{square} for {closed}");
    }
}
