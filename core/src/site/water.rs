//! What water does on the holding: where it gathers and crosses, where the ground stays wet, how high a place lies above the next channel.

use crate::hold::along::{crossing, distance_m};
use crate::land::{Drainage, Frame, Freeman, Gradient, Ground, Link, Links, MapPoint, MapRect, WorkingGrid, gathered, wetness};
use crate::plan::{Feature, Kind, Plan};
use crate::units::{Area, Length};

/// Where water from at least this much ground runs, it takes out a fence that is not made for it.
///
/// # Source
/// Key `common-practice`: half a hectare gives some 30 l/s in a hard storm.
pub const GAP_FROM: Area = Area::hectares(0.5);

/// From this much ground on a hollow that the grid shows counts as a channel that carries water, like a drawn stream.
///
/// # Source
/// Key `common-practice`: hollows of one or two hectares are mostly dry.
pub const CHANNEL_FROM: Area = Area::hectares(5.0);

/// So much ground above every metre across the flow is water that gathers; less is a sheet that runs off the whole slope, however long that is.
///
/// # Source
/// Key `common-practice`, chosen here: 1000 m2/m bring 6 l/s to each metre in a storm of 60 mm/h, some 3 cm over grass that falls by 5 %.
pub const GATHERED_M2_PER_M: f64 = 1000.0;

/// So far aside along the contour from where water gathers it has at most this share of the ground above it.
///
/// # Source
/// Key `common-practice`, chosen here.
const ASIDE: Length = Length::metres(25.0);
const ASIDE_SHARE: f64 = 0.5;

/// How far up the slope the foot of a steeper one is looked for.
const FOOT: Length = Length::metres(30.0);

/// So much steeper than here is the slope above a foot of it, and at least so steep.
///
/// # Source
/// Key `common-practice`, chosen here.
const FOOT_SHARE: f64 = 2.0;
const FOOT_SLOPE: f64 = 0.05;

/// Share of the rain that runs off pasture in woodland in a hard storm.
///
/// # Source
/// Key `rational-method`.
pub const RUN_OFF: f64 = 0.35;

/// Speed of the water in the gap, m/s, for which its opening is made.
///
/// # Source
/// Key `common-practice`.
pub const WATER_M_PER_S: f64 = 1.5;

/// A stream in spate stands about so deep over the width that it is drawn with.
///
/// # Source
/// Key `common-practice`, chosen here: a stream of 4 m then carries some 2.4 m3/s through 1.6 m2.
pub const SPATE_DEPTH: Length = Length::metres(0.4);

/// The water of the ground that the plan stands on.
#[derive(Clone, Debug)]
pub struct Water {
    drainage: Drainage,
    gaps: Links,
    channels: Links,
    streams: Vec<Stream>,
    /// Ground above each cell in square metres, water shared among all lower neighbours.
    shared_m2: Vec<f64>,
    above_channel_m: Vec<f64>,
}

/// The same streams on the same ground make the same water; unknown cells, which no number equals, are alike.
impl PartialEq for Water {
    fn eq(&self, other: &Self) -> bool {
        let bits = |water: &Self| -> Vec<u64> { water.grid().heights_m().iter().map(|height| height.to_bits()).collect() };
        self.streams == other.streams && self.grid().extent() == other.grid().extent() && bits(self) == bits(other)
    }
}

/// A stream of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Stream {
    /// What it is called.
    pub name: String,
    /// Whether it runs in a pipe here.
    pub culvert: bool,
    /// How wide it is drawn.
    pub width: Option<Length>,
    /// Its corners on the map.
    pub points: Vec<MapPoint>,
}

/// The nearest channel of a place.
#[derive(Clone, Debug, PartialEq)]
pub struct NearChannel {
    /// How far, on the map.
    pub away: Length,
    /// The stream's name, when it is drawn.
    pub stream: Option<String>,
}

/// Water across a piece of fence.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossed {
    /// How far along the piece, 0 to 1.
    pub along: f64,
    /// The ground that drains through it, by the grid.
    pub upslope: Option<Area>,
    /// Whether that ground reaches the edge of what is known, so that more may come.
    pub from_beyond: bool,
    /// The drawn stream that it is.
    pub stream: Option<CrossedStream>,
}

/// A drawn stream where a fence crosses it.
#[derive(Clone, Debug, PartialEq)]
pub struct CrossedStream {
    /// What it is called.
    pub name: String,
    /// Whether it runs in a pipe.
    pub culvert: Culvert,
    /// How wide it is drawn.
    pub width: Option<Length>,
}

/// Whether a drawn stream runs in a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Culvert {
    /// It lies open.
    Open,
    /// It runs in a pipe.
    Piped,
}

/// Peak flow of a small catchment in a hard storm.
///
/// Q = C i A / 360
///
/// # Units
/// `run_off` C is a share, `rain_mm_per_h` i in mm/h, `ground` A in hectares; the result in cubic metres a second.
///
/// # Valid for
/// Catchments of less than about 80 ha in which the whole ground runs off at once.
///
/// # Source
/// rational-method
pub fn peak_flow_m3_per_s(run_off: f64, rain_mm_per_h: f64, ground: Area) -> f64 {
    run_off * rain_mm_per_h * ground.as_hectares() / 360.0
}

impl Water {
    /// Of a plan on this part of its ground ([`super::working_extent`]); `None` where nothing of it is known.
    pub fn of(plan: &Plan, frame: Frame, ground: &Ground, within: MapRect) -> Option<Self> {
        let grid = WorkingGrid::spaced(ground, WorkingGrid::usual_spacing(ground), within)?;
        let streams: Vec<Stream> = plan.features.iter().filter_map(|feature| stream(feature, frame)).collect();
        let lines: Vec<Vec<MapPoint>> = streams.iter().map(|stream| stream.points.clone()).collect();
        let drainage = Drainage::of(grid, &lines);
        let cell_m2 = drainage.grid().spacing().as_metres().powi(2);
        let ((shared_m2, above_channel_m), (gaps, channels)) = rayon::join(
            || {
                let shared = gathered(drainage.grid(), drainage.filled(), &Freeman::WATER, |_| cell_m2);
                (shared, drainage.above_channel_m(CHANNEL_FROM))
            },
            || (drainage.links(GAP_FROM), drainage.links(CHANNEL_FROM)),
        );
        Some(Self { drainage, gaps, channels, streams, shared_m2, above_channel_m })
    }

    /// Whether a feature belongs to what this is made of, besides the ground.
    pub fn is_part(feature: &Feature) -> bool {
        matches!(feature.kind, Kind::Stream { .. })
    }

    /// The ways of the water.
    pub fn drainage(&self) -> &Drainage {
        &self.drainage
    }

    /// The working grid.
    pub fn grid(&self) -> &WorkingGrid {
        self.drainage.grid()
    }

    /// Drawn streams.
    pub fn streams(&self) -> &[Stream] {
        &self.streams
    }

    /// The channels that the grid shows: steps through which the water of at least [`CHANNEL_FROM`] runs.
    pub fn channels(&self) -> impl Iterator<Item = &Link> {
        self.channels.iter()
    }

    /// Whether water gathers within a cell of a place, and does not run past it in a sheet: much ground drains through each metre, and to one side
    /// along the contour much less.
    pub fn gathers(&self, at: MapPoint) -> bool {
        let (grid, cell_m) = (self.grid(), self.grid().spacing().as_metres());
        let upslope_m2 = |at: MapPoint| self.upslope_of(grid.cell_of(at)?).map(Area::as_square_metres);
        let off = |x_m: f64, y_m: f64| MapPoint { x_m: at.x_m + x_m, y_m: at.y_m + y_m };
        let steps = [-1.0, 0.0, 1.0].map(|step| step * cell_m);
        let around = steps.into_iter().flat_map(|x_m| steps.map(|y_m| off(x_m, y_m)));
        let most_m2 = around.filter_map(upslope_m2).fold(0.0, f64::max);
        let falls = grid.cell_of(at).and_then(|cell| grid.gradient_of(cell)).filter(|here| here.slope() > 0.0);
        let has_less_beside = falls.is_none_or(|here| {
            let side_m = ASIDE.as_metres() / here.slope();
            let beside = [side_m, -side_m].map(|side_m| off(-here.north * side_m, here.east * side_m));
            beside.into_iter().filter_map(upslope_m2).any(|beside_m2| beside_m2 < ASIDE_SHARE * most_m2)
        });
        most_m2 >= GATHERED_M2_PER_M * cell_m && has_less_beside
    }

    /// Whether a place lies at the foot of a slope that is steeper than it is itself.
    pub fn is_at_foot(&self, at: MapPoint) -> bool {
        let gradient_at = |at: MapPoint| self.grid().gradient_of(self.grid().cell_of(at)?);
        let above = gradient_at(at).filter(|here| here.slope() > 0.0).and_then(|here| {
            let up_m = FOOT.as_metres() / here.slope();
            let up = MapPoint { x_m: at.x_m + here.east * up_m, y_m: at.y_m + here.north * up_m };
            Some((here.slope(), gradient_at(up)?.slope()))
        });
        above.is_some_and(|(here, above)| above >= FOOT_SLOPE.max(FOOT_SHARE * here))
    }

    /// What crosses a straight piece of fence, along it.
    pub fn across(&self, from: MapPoint, to: MapPoint) -> Vec<Crossed> {
        let point =
            |along: f64| MapPoint { x_m: from.x_m + along * (to.x_m - from.x_m), y_m: from.y_m + along * (to.y_m - from.y_m) };
        let worked_out = self.gaps.crossed(from, to).into_iter().filter(|(along, _)| self.gathers(point(*along)));
        let mut all: Vec<Crossed> = worked_out
            .map(|(along, link)| Crossed { along, upslope: Some(link.upslope), from_beyond: link.from_beyond, stream: None })
            .collect();
        for stream in &self.streams {
            let kind = if stream.culvert { Culvert::Piped } else { Culvert::Open };
            let crossed = stream.points.windows(2).filter_map(|leg| Some(crossing(from, to, leg[0], leg[1])?.0));
            let of = CrossedStream { name: stream.name.clone(), culvert: kind, width: stream.width };
            all.extend(crossed.map(|along| Crossed { along, upslope: None, from_beyond: false, stream: Some(of.clone()) }));
        }
        all.sort_by(|one, other| one.along.total_cmp(&other.along));
        all
    }

    /// How wet a cell tends to be for its place on the hill; `None` off the known ground.
    ///
    /// # Source
    /// Key `beven-kirkby-1979`.
    pub fn wetness_of(&self, cell: usize) -> Option<f64> {
        let slope = self.grid().gradient_of(cell).map(Gradient::slope)?;
        let upslope = self.shared_m2.get(cell).copied().filter(|area| area.is_finite())?;
        Some(wetness(Area::square_metres(upslope), self.grid().spacing(), slope))
    }

    /// [`Self::wetness_of`] at a point.
    pub fn wetness(&self, at: MapPoint) -> Option<f64> {
        self.wetness_of(self.grid().cell_of(at)?)
    }

    /// The ground above a cell, water shared among all lower neighbours.
    pub fn upslope_of(&self, cell: usize) -> Option<Area> {
        self.shared_m2.get(cell).copied().filter(|area| area.is_finite()).map(Area::square_metres)
    }

    /// How high a place lies above the channel that its water runs into.
    pub fn above_channel(&self, at: MapPoint) -> Option<Length> {
        let height_m = self.above_channel_m[self.grid().cell_of(at)?];
        height_m.is_finite().then(|| Length::metres(height_m))
    }

    /// The nearest open stream that is drawn, or channel that the grid shows, whichever is nearer; a drawn one counts for the channel beside it.
    pub fn nearest_channel(&self, at: MapPoint) -> Option<NearChannel> {
        let drawn = self.streams.iter().filter(|stream| !stream.culvert).filter_map(|stream| {
            let away_m = stream.points.windows(2).map(|leg| distance_m(at, leg[0], leg[1])).min_by(f64::total_cmp)?;
            Some(NearChannel { away: Length::metres(away_m), stream: Some(stream.name.clone()) })
        });
        let drawn = drawn.min_by(|one, other| one.away.as_metres().total_cmp(&other.away.as_metres()));
        let worked_out = self.channels.nearest(at).map(|(away_m, _)| NearChannel { away: Length::metres(away_m), stream: None });
        match (drawn, worked_out) {
            // The grid knows a channel to a cell or two: beside a drawn stream it is that stream.
            (Some(drawn), Some(other)) if other.away + self.grid().spacing() * 2.0 < drawn.away => Some(other),
            (Some(drawn), _) => Some(drawn),
            (None, other) => other,
        }
    }

    /// The way on the ground between two cells.
    pub fn step_m(&self, from: usize, to: usize) -> f64 {
        let heights_m = self.grid().heights_m();
        let plan_m = self.grid().centre_of(from).distance_m(self.grid().centre_of(to));
        plan_m.hypot(heights_m[from] - heights_m[to])
    }

    /// Down the way of the water from a cell: the cells it passes, itself first.
    pub fn way_down(&self, cell: usize) -> impl Iterator<Item = usize> + '_ {
        std::iter::successors(Some(cell), |cell| self.drainage.downstream(*cell))
    }
}

fn stream(feature: &Feature, frame: Frame) -> Option<Stream> {
    let Kind::Stream { culvert, width, .. } = feature.kind else { return None };
    let points = feature.line()?.iter().map(|at| frame.to_map(*at).ok()).collect::<Option<Vec<_>>>()?;
    Some(Stream { name: feature.label().to_owned(), culvert, width, points })
}
