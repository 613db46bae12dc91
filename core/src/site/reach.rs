//! How every metre of a line is reached from the tracks, and whether it is seen from them.

use super::sight::LookOut;
use super::tracks::Tracks;
use super::walking::{Minutes, Walking};
use crate::hold::Section;
use crate::hold::along::{Piece, pieces};
use crate::land::{Frame, Ground, MapPoint, Pace, Seen};
use crate::plan::{Feature, Kind, Plan};
use crate::units::Length;

/// From a vehicle on the track: the hand reaches the wire.
///
/// # Source
/// Key `common-practice`.
pub const BESIDE: Length = Length::metres(6.0);
/// From a vehicle on the track and a short walk with tools.
///
/// # Source
/// Key `common-practice`.
pub const WALK: Length = Length::metres(60.0);
/// As long as somebody walks to a place that counts as near, seconds.
///
/// # Source
/// Key `common-practice`.
pub const NEAR_WALK_S: f64 = 120.0;
/// As long as somebody walks with tools in hand and thinks nothing of it, seconds.
///
/// # Source
/// Key `common-practice`.
pub const SHORT_WALK_S: f64 = 300.0;
/// A line is judged in pieces no longer than this.
const PIECE_M: f64 = 5.0;

/// When somebody looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Season {
    /// In leaf.
    Summer,
    /// Once the leaves have fallen.
    LeafOff,
}

/// How a place is reached. Ordered: the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReachClass {
    /// From the seat: beside a usable track and seen from it.
    FromSeat,
    /// Within two minutes on foot, or seen from a usable track close by and within five.
    Near,
    /// Within five minutes on foot.
    ShortWalk,
    /// Farther, or not at all.
    Far,
}

impl ReachClass {
    /// All of them, the best first.
    pub const ALL: [Self; 4] = [Self::FromSeat, Self::Near, Self::ShortWalk, Self::Far];

    /// The class of a place so far from a usable track, so long a walk away.
    pub fn of(track_m: f64, walk_s: f64, is_seen: IsSeen) -> Self {
        let is_seen = is_seen == IsSeen::Yes;
        if track_m <= BESIDE.as_metres() && is_seen {
            Self::FromSeat
        } else if walk_s <= NEAR_WALK_S || track_m <= WALK.as_metres() && is_seen && walk_s <= SHORT_WALK_S {
            Self::Near
        } else if walk_s <= SHORT_WALK_S {
            Self::ShortWalk
        } else {
            Self::Far
        }
    }
}

/// Whether something is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IsSeen {
    /// It is.
    Yes,
    /// It is not, or nobody knows.
    No,
}

/// A short piece of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReachPiece {
    /// From this station.
    pub from: Length,
    /// Until this one.
    pub to: Length,
    /// Its middle.
    pub at: MapPoint,
    /// How far the nearest usable track is on the map, metres; infinite where none is usable.
    pub track_m: f64,
    /// On foot.
    pub minutes: Minutes,
    /// Whether its top is seen from a usable track; `None` where the ground is not known.
    pub seen: Option<Seen>,
}

impl ReachPiece {
    /// Its length on the ground.
    pub fn length(&self) -> Length {
        self.to - self.from
    }

    /// Whether it is seen; `None` where the ground is not known.
    pub fn is_seen(&self, season: Season) -> Option<bool> {
        self.seen.map(|seen| if season == Season::Summer { seen.summer } else { seen.leaf_off })
    }

    /// How it is reached.
    pub fn class(&self, season: Season) -> ReachClass {
        let is_seen = if self.is_seen(season) == Some(true) { IsSeen::Yes } else { IsSeen::No };
        ReachClass::of(self.track_m, self.minutes.there_s, is_seen)
    }
}

/// Shares of a line, 0 to 1, by how far the nearest usable track is on the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackShares {
    /// Within [`BESIDE`].
    pub beside: f64,
    /// Within [`WALK`].
    pub walk: f64,
}

/// How a line is reached and seen, piece by piece.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineReach {
    /// In order along the line.
    pub pieces: Vec<ReachPiece>,
}

impl LineReach {
    fn length_where(&self, is_meant: impl Fn(&ReachPiece) -> bool) -> Length {
        self.pieces.iter().filter(|piece| is_meant(piece)).map(ReachPiece::length).sum()
    }

    /// How much of the line is reached so.
    pub fn length_of(&self, class: ReachClass, season: Season) -> Length {
        self.length_where(|piece| piece.class(season) == class)
    }

    /// How much of the line is seen.
    pub fn seen_length(&self, season: Season) -> Length {
        self.length_where(|piece| piece.is_seen(season) == Some(true))
    }

    /// How much of the line lies where it is known whether it is seen.
    pub fn known_length(&self) -> Length {
        self.length_where(|piece| piece.seen.is_some())
    }

    /// Share of the line that is seen, of what is known, 0 to 1; `None` where nothing is known.
    pub fn seen_share(&self, season: Season) -> Option<f64> {
        let known = self.known_length();
        (known > Length::ZERO).then(|| self.seen_length(season) / known)
    }

    /// How much of the line is within reach of a usable track on the map; `None` for a line without length.
    pub fn track_shares(&self) -> Option<TrackShares> {
        let whole = self.length_where(|_| true);
        let within = |reach: Length| self.length_where(|piece| piece.track_m <= reach.as_metres()) / whole;
        (whole > Length::ZERO).then(|| TrackShares { beside: within(BESIDE), walk: within(WALK) })
    }

    /// The piece that takes longest to walk to.
    pub fn worst(&self) -> Option<&ReachPiece> {
        // The first of those alike.
        self.pieces.iter().rev().max_by(|a, b| a.minutes.there_s.total_cmp(&b.minutes.there_s))
    }

    /// The longest stretch of neighbouring pieces that are all so.
    pub fn longest_run(&self, is_meant: impl Fn(&ReachPiece) -> bool) -> &[ReachPiece] {
        let runs = self.pieces.chunk_by(|a, b| is_meant(a) && is_meant(b)).filter(|run| is_meant(&run[0]));
        let length_m = |run: &&[ReachPiece]| (run[run.len() - 1].to - run[0].from).as_metres();
        runs.rev().max_by(|a, b| length_m(a).total_cmp(&length_m(b))).unwrap_or_default()
    }
}

/// What lines are reached and seen by: usable tracks, the way on foot from them, the outlook from them.
#[derive(Clone, Debug, Default)]
pub struct Reach {
    /// The tracks.
    pub tracks: Tracks,
    /// The way on foot; `None` without ground or usable track.
    pub walking: Option<Walking>,
    /// The outlook; `None` without ground or usable track.
    pub look_out: Option<LookOut>,
}

/// Alike when they say the same of every place.
impl PartialEq for Reach {
    fn eq(&self, other: &Self) -> bool {
        let times = |reach: &Self| reach.walking.as_ref().map(|walking| walking.there_s().to_vec());
        let eyes = |reach: &Self| reach.look_out.as_ref().map(LookOut::eyes);
        self.tracks.runs() == other.tracks.runs()
            && self.tracks.judged == other.tracks.judged
            && times(self) == times(other)
            && eyes(self) == eyes(other)
    }
}

impl Reach {
    /// Of a plan on its ground.
    pub fn of(plan: &Plan, frame: Frame, ground: Option<&Ground>) -> Self {
        let tracks = Tracks::of(plan, frame, ground);
        let walking = || ground.and_then(|ground| Walking::of(plan, frame, ground, &tracks));
        let look_out = || ground.and_then(|ground| LookOut::of(plan, frame, ground, &tracks));
        let (walking, look_out) = rayon::join(walking, look_out);
        Self { tracks, walking, look_out }
    }

    /// Whether a feature belongs to what this is made of.
    pub fn is_part(feature: &Feature) -> bool {
        matches!(
            feature.kind,
            Kind::Track(_)
                | Kind::Zone(_)
                | Kind::Stream { .. }
                | Kind::Building { .. }
                | Kind::PublicWay { .. }
                | Kind::Boundary { .. }
        )
    }

    /// A line whose top strand hangs so high; `None` when the plan has no track at all. What `before` says of the same places is taken from
    /// there.
    pub fn line(&self, section: &Section, top: Length, before: Option<&LineReach>) -> Option<LineReach> {
        if !self.tracks.has_track || section.samples.len() < 2 {
            return None;
        }
        let known = before.map(|before| before.pieces.as_slice()).unwrap_or_default();
        let mut next = 0;
        let piece = |piece: Piece| {
            let (from, to) = (Length::metres(piece.from.station_m), Length::metres(piece.to.station_m));
            let at = judged_at(piece.middle());
            // A line keeps its order: what was not moved comes again in the same order.
            if let Some(ahead) = known[next..].iter().position(|known| known.at == at) {
                next += ahead + 1;
                return ReachPiece { from, to, ..known[next - 1] };
            }
            self.piece(at, from, to, top)
        };
        Some(LineReach { pieces: pieces(section, PIECE_M).into_iter().map(piece).collect() })
    }

    fn piece(&self, at: MapPoint, from: Length, to: Length, top: Length) -> ReachPiece {
        let track_m = self.tracks.nearest_m(at).unwrap_or(f64::INFINITY);
        let flat_s = Pace::OffPath.seconds(track_m, 0.0).unwrap_or(f64::INFINITY);
        let by_climb_s = Pace::ByClimb.seconds(track_m, 0.0).unwrap_or(f64::INFINITY);
        let minutes = match &self.walking {
            Some(walking) => walking.at(at, &self.tracks),
            None if track_m.is_finite() => Minutes { there_s: flat_s, back_s: flat_s, by_climb_s },
            None => Minutes::NEVER,
        };
        let seen = self.look_out.as_ref().and_then(|look_out| look_out.sees(at, top));
        ReachPiece { from, to, at, track_m, minutes, seen }
    }
}

/// The tenth of a millimetre that a place lies on: what is said of a place must not depend on how the rest of its line was reckoned.
fn judged_at(at: MapPoint) -> MapPoint {
    let rounded = |metres: f64| (metres * 1e4).round() / 1e4;
    MapPoint::new(rounded(at.x_m), rounded(at.y_m))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hold::section;
    use crate::land::Grid;
    use crate::land::fixture::{grid, plane};
    use crate::plan::{FeatureId, Geometry, Head, Track, Zone};
    use proptest::prelude::*;
    use std::sync::Arc;

    fn ground(grid: Grid) -> Ground {
        let frame = Ground::frame_of(&grid).expect("in UTM");
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    }

    fn point(ground: &Ground, (east_m, north_m): (f64, f64)) -> MapPoint {
        let middle = ground.extent().centre();
        middle + MapPoint::new(east_m, north_m)
    }

    fn plan(ground: &Ground, drawn: &[(Kind, Vec<(f64, f64)>)]) -> Plan {
        let feature = |(index, (kind, places)): (usize, &(Kind, Vec<(f64, f64)>))| {
            let corners = places.iter().map(|place| ground.frame().to_position(point(ground, *place))).collect();
            let geometry = if matches!(kind, Kind::Zone(_)) { Geometry::Area(vec![corners]) } else { Geometry::Line(corners) };
            Feature::new(FeatureId::new(&format!("f{index}")), kind.clone(), geometry)
        };
        Plan::new(Head::default(), drawn.iter().enumerate().map(feature).collect())
    }

    fn line_reach(ground: &Ground, reach: &Reach, places: [(f64, f64); 2]) -> LineReach {
        let corners = places.map(|place| point(ground, place));
        let section = section(&FeatureId::new("line"), &corners, Some(ground), &[]);
        reach.line(&section, Length::metres(1.0), None).expect("there is a track")
    }

    fn track() -> Kind {
        Kind::Track(Track::default())
    }

    #[test]
    fn a_wide_stream_is_gone_round_and_a_ford_or_a_narrow_one_is_not() {
        let flat = ground(plane(60, 60, 10.0, 0.0, 0.0));
        let stream = |width_m: Option<f64>| Kind::Stream { width: width_m.map(Length::metres), seasonal: false, culvert: false };
        let path = (Kind::PublicWay { use_by: None }, vec![(0.0, -60.0), (0.0, 60.0)]);
        let across = vec![(-320.0, 30.0), (320.0, 30.0)];
        for (name, extra, expected) in [
            ("no stream", vec![], 100.0),
            ("a ditch of a metre", vec![(stream(Some(1.0)), across.clone())], 100.0),
            ("a stream of unknown width, over the rim on both sides", vec![(stream(None), across.clone())], f64::INFINITY),
            ("with a footpath across it", vec![(stream(None), across.clone()), path], 100.0),
        ] {
            let drawn: Vec<_> = std::iter::once((track(), vec![(-200.0, 0.0), (200.0, 0.0)])).chain(extra).collect();
            let reach = Reach::of(&plan(&flat, &drawn), flat.frame(), Some(&flat));
            let line = line_reach(&flat, &reach, [(-2.0, 100.0), (2.0, 100.0)]);
            let found_s = line.worst().expect("a piece").minutes.there_s;
            let straight_s = Pace::OffPath.seconds(100.0, 0.0).expect("flat");
            let expected_s = if expected.is_finite() { straight_s } else { f64::INFINITY };
            assert!(
                found_s.is_infinite() && expected_s.is_infinite() || (found_s / expected_s - 1.0).abs() < 0.04,
                "{name}: {found_s}"
            );
        }
    }

    #[test]
    fn what_is_kept_out_of_is_not_walked_through() {
        let flat = ground(plane(60, 60, 10.0, 0.0, 0.0));
        let keep_out = Kind::Zone(Zone { of: "keep_out".to_owned(), ..Zone::default() });
        let square = vec![(-80.0, 20.0), (80.0, 20.0), (80.0, 80.0), (-80.0, 80.0), (-80.0, 20.0)];
        let drawn = [(track(), vec![(-5.0, 0.0), (5.0, 0.0)]), (keep_out, square)];
        let reach = Reach::of(&plan(&flat, &drawn), flat.frame(), Some(&flat));
        let behind = line_reach(&flat, &reach, [(-2.0, 100.0), (2.0, 100.0)]);
        let round_m = (75.0_f64.hypot(20.0) + 60.0 + 80.0_f64.hypot(20.0)) * 0.97;
        let round_s = Pace::OffPath.seconds(round_m, 0.0).expect("flat");
        let found_s = behind.worst().expect("a piece").minutes.there_s;
        assert!(found_s > round_s && found_s < 1.2 * round_s, "{found_s} {round_s}");
        let inside = line_reach(&flat, &reach, [(-2.0, 50.0), (2.0, 50.0)]);
        assert_eq!(inside.longest_run(|piece| piece.class(Season::Summer) == ReachClass::Far).len(), inside.pieces.len());
    }

    #[test]
    fn woodland_hides_and_a_standing_crop_hides_only_what_is_lower() {
        let flat = ground(plane(200, 200, 2.0, 0.0, 0.0));
        for (height_m, seen) in [(0.5, true), (2.0, false)] {
            let crop = Kind::Zone(Zone { of: "crop".to_owned(), value: Some(height_m.into()) });
            let square = vec![(-190.0, 20.0), (190.0, 20.0), (190.0, 60.0), (-190.0, 60.0), (-190.0, 20.0)];
            let drawn = [(track(), vec![(-150.0, 0.0), (150.0, 0.0)]), (crop, square)];
            let reach = Reach::of(&plan(&flat, &drawn), flat.frame(), Some(&flat));
            let line = line_reach(&flat, &reach, [(-50.0, 80.0), (50.0, 80.0)]);
            let share = line.seen_share(Season::Summer).expect("known");
            assert!((share - if seen { 1.0 } else { 0.0 }).abs() < 1e-9, "{height_m}: {share}");
            assert!(line.seen_share(Season::LeafOff).expect("known") > 0.99, "stubble hides nothing");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        #[test]
        fn a_fence_moved_farther_from_the_track_is_never_reached_better(
            east in -0.2..0.2_f64, north in -0.2..0.2_f64, turn_deg in 0.0..180.0_f64, from_m in 0.0..300.0_f64, by_m in 5.0..200.0_f64,
        ) {
            let even = ground(grid(100, 100, 10.0, plane(100, 100, 10.0, east, north).heights_m));
            let (sin, cos) = turn_deg.to_radians().sin_cos();
            let beside = |along_m: f64, off_m: f64| (along_m * cos - off_m * sin, along_m * sin + off_m * cos);
            // Tracks on a plane are usable: at most 28 % along, and those over 25 % are left out by the rule.
            let drawn = [(track(), vec![beside(-450.0, 0.0), beside(450.0, 0.0)])];
            let reach = Reach::of(&plan(&even, &drawn), even.frame(), Some(&even));
            let class = |off_m: f64| {
                let line = line_reach(&even, &reach, [beside(-2.0, off_m), beside(2.0, off_m)]);
                line.pieces[0].class(Season::Summer)
            };
            prop_assert!(class(from_m + by_m) >= class(from_m), "{} m then {} m", from_m, from_m + by_m);
        }
    }
}
