//! How much of what is allowed each bay of a line uses: for drawing, and for telling the worst.

use super::results::{Bay, LineHold, Post};
use super::strain::LEAST_SHARE;
use crate::units::Length;

impl Bay {
    /// How far its strands are out of the middle of their bands: 0 at their heights, 1 at a limit, above 1 beyond; `None` where nothing
    /// is known.
    pub fn height_used(&self, bands: &[(Length, Length)]) -> Option<f64> {
        let strands = bands.iter().zip(&self.strands).map(|((lowest, highest), gap)| {
            let part = |off_m: f64, room_m: f64| off_m / room_m.max(super::spacing::LEAST_ROOM_M);
            let above = part((gap.highest_gap - gap.height).as_metres(), (*highest - gap.height).as_metres());
            let below = part((gap.height - gap.lowest_gap).as_metres(), (gap.height - *lowest).as_metres());
            above.max(below)
        });
        strands.reduce(f64::max)
    }

    /// How much of the tension that friction may take is taken here, 0 to 1 and above.
    pub fn tension_used(&self) -> f64 {
        (1.0 - self.tension_share) / (1.0 - LEAST_SHARE)
    }
}

impl Post {
    /// How much of what the ground may be asked the post asks, sideways or upwards, whichever is more; `None` where the ground is not
    /// known to hold anything.
    ///
    /// `safety_factor`: what the ground must hold, in times the pull.
    pub fn load_used(&self, safety_factor: f64) -> Option<f64> {
        let sideways = self.capacity.filter(|_| !self.braced).map(|capacity| safety_factor * (self.sideways / capacity));
        let upwards = self.uplift_capacity.filter(|_| !self.held_down).map(|capacity| safety_factor * (self.uplift / capacity));
        sideways.into_iter().chain(upwards).reduce(f64::max).map(|used| used.max(0.0))
    }
}

impl LineHold {
    /// The posts of a bay, by its index; the last bay of a closed line leads back to the first post.
    pub fn posts_of(&self, bay: usize) -> Option<(&Post, &Post)> {
        Some((self.posts.get(bay)?, self.posts.get((bay + 1) % self.posts.len())?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hold::StrandGap;

    #[test]
    fn a_bay_uses_nothing_at_its_heights_and_all_at_the_limit() {
        let bands = [(Length::metres(0.13), Length::metres(0.30))];
        let used = |lowest_m: f64, highest_m: f64| {
            let [height, lowest_gap, highest_gap] = [0.2, lowest_m, highest_m].map(Length::metres);
            let zero = Length::ZERO;
            let gap = StrandGap { height, lowest_gap, lowest_gap_at: zero, highest_gap, highest_gap_at: zero };
            let bay =
                Bay { from: zero, to: zero, strands: vec![gap], gate: None, tension_share: 0.85, error: zero, cross_slope: None };
            (bay.height_used(&bands).expect("known"), bay.tension_used())
        };
        // Its band is 0.13 to 0.30 m.
        for (lowest_m, highest_m, expected) in
            [(0.2, 0.2, 0.0), (0.2, 0.3, 1.0), (0.13, 0.2, 1.0), (0.2, 0.35, 1.5), (0.165, 0.21, 0.5)]
        {
            assert!((used(lowest_m, highest_m).0 - expected).abs() < 1e-9, "{lowest_m} {highest_m}");
        }
        assert!((used(0.2, 0.2).1 - 0.5).abs() < 1e-9);
    }
}
