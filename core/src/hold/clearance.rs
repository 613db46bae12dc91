//! What the stock behind a line asks of the room under its lowest and its top strand, as posts are placed by it.

use crate::plan::Build;
use crate::stock::{LEAST_CLEARANCE_M, Limits, UNEVEN_M, counting};
use crate::units::Length;

/// A strand may come so much nearer to the ground than it hangs at its posts, metres (`common-practice`).
const NEARER_M: f64 = 0.07;
/// Where nobody knows what the strands have to hold, they may stand so much higher, metres (`common-practice`).
const HIGHER_M: f64 = 0.10;

/// The room that strands of a build must keep over the ground: all of them hang from the same posts, so the lowest and the top one tell it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    /// Index of the lowest strand that counts.
    pub lowest: usize,
    /// Index of the top strand that counts.
    pub top: usize,
    /// Least clearance of the lowest strand.
    pub low: Length,
    /// Largest clearance of the lowest strand.
    pub high: Length,
    /// Least clearance of the top strand.
    pub top_low: Length,
}

impl Clearance {
    /// Of a build before animals with these limits; without any, as is usual. `None` of a build without strands.
    ///
    /// Low: as hung less 0.07 m, no lower than 0.05 m unless the animal comes in at the ground itself. High: the least of what the animals
    /// allow over uneven ground. Top: what the animals ask, where it hangs 0.05 m above that; else 0.05 m less than it hangs.
    ///
    /// # Units
    /// Metres.
    /// # Source
    /// `common-practice`; the limits are those of the catalogue's rows.
    pub fn of(build: &Build, limits: &[Limits]) -> Option<Self> {
        let heights: Vec<(f64, bool)> = build.strands.iter().map(|strand| (strand.height.as_metres(), strand.live)).collect();
        let ends = |limits: &Limits| counting(&heights, limits);
        let first = limits.iter().filter_map(ends).map(|(lowest, _)| lowest).max().unwrap_or(0);
        let last = limits.iter().filter_map(ends).map(|(_, top)| top).min().unwrap_or(heights.len().checked_sub(1)?);
        let (hung_m, top_m) = (heights[first].0, heights[last].0);
        let near_ground = limits.iter().any(|limits| limits.row().near_ground);
        let least_m = if near_ground { 0.0 } else { LEAST_CLEARANCE_M };
        let high_m = limits.iter().map(|limits| ceiling_m(limits, hung_m, heights.len() == 1)).reduce(f64::min);
        let asked_m = limits.iter().map(|limits| floor_m(limits, top_m, heights.len() == 1)).reduce(f64::max);
        Some(Self {
            lowest: first,
            top: last,
            low: Length::metres((hung_m - NEARER_M).max(least_m.min(hung_m))),
            high: Length::metres(high_m.unwrap_or(hung_m + HIGHER_M)),
            top_low: Length::metres((top_m - NEARER_M).max(asked_m.unwrap_or(0.0))),
        })
    }

    /// Lowest and highest clearance of every strand of a build: its own band where the plan gives one.
    pub fn bands(&self, build: &Build) -> Vec<(Length, Length)> {
        let heights = || build.strands.iter().map(|strand| strand.height);
        let Some(hung) = heights().nth(self.lowest) else { return Vec::new() };
        let band = |(index, height): (usize, Length)| {
            let low = match index {
                index if index == self.lowest && index == self.top => self.low.max(self.top_low),
                index if index == self.lowest => self.low,
                index if index == self.top => self.top_low,
                _ => (height - Length::metres(NEARER_M)).max(Length::ZERO),
            };
            (low.min(height), (height + (self.high - hung)).max(height))
        };
        heights().enumerate().map(band).zip(&build.strands).map(|(band, strand)| strand.band.unwrap_or(band)).collect()
    }
}

/// How high the lowest strand may stand; one that hangs too high already may at least stand as any other.
fn ceiling_m(limits: &Limits, hung_m: f64, is_single: bool) -> f64 {
    match limits.single_m().filter(|_| is_single) {
        Some((_, high_m)) => high_m.max(hung_m + UNEVEN_M),
        None if hung_m > limits.fine_m => hung_m + UNEVEN_M,
        None => limits.ceiling_m(hung_m),
    }
}

/// How low the top strand may come.
fn floor_m(limits: &Limits, hung_m: f64, is_single: bool) -> f64 {
    let asked_m = limits.single_m().filter(|_| is_single).map_or(limits.top_m, |(low_m, _)| low_m);
    if hung_m < asked_m { hung_m - NEARER_M } else { asked_m.min(hung_m - UNEVEN_M) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{Catalogue, Purpose};
    use crate::plan::Strand;

    fn clearance(heights: &[f64], animals: &[(&str, &str, f64)]) -> Clearance {
        let strands = heights.iter().map(|height| Strand::live(Length::metres(*height), "ht-14ga")).collect();
        let build = Build { strands, ..Build::default() };
        let all = Catalogue::built_in();
        let limits: Vec<Limits> = animals
            .iter()
            .filter_map(|(species, class, kg)| Limits::of(all.animal(species, Some(class))?, Purpose::Interior, *kg, all))
            .collect();
        assert_eq!(limits.len(), animals.len());
        Clearance::of(&build, &limits).expect("strands")
    }

    #[test]
    fn posts_are_placed_by_what_the_stock_behind_the_line_asks() {
        let (piglets, litter) = (("pig", "piglet", 15.0), ("pig", "litter", 220.0));
        let (lambs, ewes, cows) = (("sheep", "lamb", 20.0), ("sheep", "ewe", 70.0), ("cattle", "cow", 600.0));
        // Strands, animals; least and largest clearance of the lowest strand, least of the top one.
        type Row<'a> = (&'a [f64], &'a [(&'a str, &'a str, f64)], f64, f64, f64);
        let rows: [Row; 8] = [
            (&[0.10, 0.25, 0.40], &[piglets], 0.05, 0.15, 0.35),
            (&[0.15, 0.30, 0.50], &[litter], 0.08, 0.20, 0.45),
            (&[0.15, 0.30, 0.50], &[litter, piglets], 0.08, 0.183, 0.45),
            (&[0.12, 0.27, 0.47, 0.70], &[lambs, ewes], 0.05, 0.17, 0.65),
            (&[0.17, 0.32, 0.52, 0.75], &[ewes], 0.10, 0.2985, 0.69),
            (&[0.90], &[cows], 0.83, 1.10, 0.83),
            (&[1.10], &[cows], 1.03, 1.15, 1.03),
            (&[0.20, 0.45], &[], 0.13, 0.30, 0.38),
        ];
        for (heights, animals, low_m, high_m, top_m) in rows {
            let found = clearance(heights, animals);
            let all = [(found.low, low_m), (found.high, high_m), (found.top_low, top_m)];
            assert!(
                all.iter().all(|(found, by_hand)| (found.as_metres() - by_hand).abs() < 6e-4),
                "{heights:?} {animals:?}: {found:?}"
            );
        }
    }

    #[test]
    fn a_strand_that_hangs_too_high_still_leaves_room_for_posts_and_its_own_band_wins() {
        let found = clearance(&[0.30, 0.50], &[("pig", "piglet", 15.0)]);
        assert!((found.high.as_metres() - 0.35).abs() < 1e-9, "{found:?}");
        let band = (Length::metres(0.05), Length::metres(0.5));
        let own = Strand { band: Some(band), ..Strand::live(Length::metres(0.30), "ht-14ga") };
        let build = Build { strands: vec![own, Strand::live(Length::metres(0.50), "ht-14ga")], ..Build::default() };
        assert_eq!(found.bands(&build)[0], band);
    }
}
