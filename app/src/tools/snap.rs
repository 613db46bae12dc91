//! Which point of the plan the pointer catches: ends before corners before lines before track offsets before contours.

use hillwire_core::land::{Ground, MapPoint};

/// What caught.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Caught {
    /// The end of a line.
    End,
    /// A corner.
    Corner,
    /// A point on a leg.
    OnLine,
    /// A fence's width beside a track.
    BesideTrack,
    /// The contour through the last corner.
    Contour,
}

impl Caught {
    /// The word beside the pointer.
    pub fn word(self) -> &'static str {
        match self {
            Self::End => "end",
            Self::Corner => "corner",
            Self::OnLine => "on line",
            Self::BesideTrack => "beside track",
            Self::Contour => "level with last corner",
        }
    }
}

/// A caught point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Snap {
    /// The point.
    pub at: MapPoint,
    /// What caught.
    pub caught: Caught,
}

/// A line that can catch: its corners on the map, and whether it is a track.
#[derive(Clone, Copy, Debug)]
pub struct Catcher<'a> {
    /// Corners on the map.
    pub corners: &'a [MapPoint],
    /// Whether a fence's width beside it catches.
    pub is_track: bool,
}

/// Distance of a fence from the middle of a track: half a vehicle, its mirror, a strimmer's strip and a door (common practice,
/// no source).
pub const BESIDE_TRACK_M: f64 = 3.0;

/// The best catch within `reach_m` of `pointer`, if any.
pub fn catch<'a>(pointer: MapPoint, reach_m: f64, lines: impl Iterator<Item = Catcher<'a>>) -> Option<Snap> {
    let mut best: Option<(Caught, f64, MapPoint)> = None;
    let mut offer = |caught: Caught, at: MapPoint| {
        let distance = pointer.distance_m(at);
        let better = best.is_none_or(|(kind, d, _)| (caught, distance) < (kind, d));
        if distance <= reach_m && better {
            best = Some((caught, distance, at));
        }
    };
    for line in lines {
        let last = line.corners.len().saturating_sub(1);
        let closed = last > 1 && line.corners[0] == line.corners[last];
        for (index, corner) in line.corners.iter().enumerate() {
            let is_end = !closed && (index == 0 || index == last);
            offer(if is_end { Caught::End } else { Caught::Corner }, *corner);
        }
        for leg in line.corners.windows(2) {
            let foot = nearest_on_leg(pointer, leg[0], leg[1]);
            offer(Caught::OnLine, foot);
            if line.is_track && pointer.distance_m(foot) > 0.3 {
                let away = (pointer - foot) * (BESIDE_TRACK_M / pointer.distance_m(foot));
                offer(Caught::BesideTrack, foot + away);
            }
        }
    }
    best.map(|(caught, _, at)| Snap { at, caught })
}

/// The point near the pointer that is level with `level_m`, if the ground has one within `reach_m`.
pub fn catch_contour(ground: &Ground, pointer: MapPoint, level_m: f64, reach_m: f64) -> Option<Snap> {
    let mut at = pointer;
    for _ in 0..4 {
        let here = ground.elevation(at)?.as_metres();
        let gradient = ground.gradient(at)?;
        let steep = gradient.east * gradient.east + gradient.north * gradient.north;
        if steep < 1e-6 {
            return None;
        }
        let step = (level_m - here) / steep;
        at = at + MapPoint::new(gradient.east * step, gradient.north * step);
    }
    (pointer.distance_m(at) <= reach_m).then_some(Snap { at, caught: Caught::Contour })
}

/// The point of a leg that is nearest to `point`.
pub fn nearest_on_leg(point: MapPoint, from: MapPoint, to: MapPoint) -> MapPoint {
    let along = to - from;
    let length_2 = along.x_m * along.x_m + along.y_m * along.y_m;
    if length_2 == 0.0 {
        return from;
    }
    let offset = point - from;
    let share = ((offset.x_m * along.x_m + offset.y_m * along.y_m) / length_2).clamp(0.0, 1.0);
    from.towards(to, share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_catch_before_corners_and_corners_before_lines() {
        let corners = [MapPoint::new(0.0, 0.0), MapPoint::new(10.0, 0.0), MapPoint::new(10.0, 10.0)];
        let catch_at = |x, y| catch(MapPoint::new(x, y), 1.0, [Catcher { corners: &corners, is_track: false }].into_iter());
        for (x, y, expected) in
            [(0.4, 0.3, Some(Caught::End)), (9.8, 0.2, Some(Caught::Corner)), (5.0, 0.7, Some(Caught::OnLine)), (5.0, 3.0, None)]
        {
            assert_eq!(catch_at(x, y).map(|snap| snap.caught), expected, "{x} {y}");
        }
    }

    #[test]
    fn a_track_catches_at_a_fences_width_beside_it() {
        let corners = [MapPoint::new(0.0, 0.0), MapPoint::new(100.0, 0.0)];
        let snap = catch(MapPoint::new(50.0, 3.4), 1.0, [Catcher { corners: &corners, is_track: true }].into_iter());
        assert_eq!(snap, Some(Snap { at: MapPoint::new(50.0, BESIDE_TRACK_M), caught: Caught::BesideTrack }));
    }
}
