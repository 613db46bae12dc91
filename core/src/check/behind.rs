//! Who stands behind a line, what it parts them from, and what that asks of its strands.

use super::surroundings::nearest_m;
use super::{Checked, LineRole};
use crate::catalogue::{AnimalRow, Catalogue, Purpose};
use crate::finding::{Grade, PurposeBasis};
use crate::hold::Clearance;
use crate::land::{MapPoint, MapRect};
use crate::plan::{Build, Feature, FeatureId, Kind, Paddock, PaddockFace, StockGroup};
use crate::stock::{DAYS_LOOKED_AT, GroupThen, Limits, Verdict, row_of, weight_at};
use crate::units::Length;
use jiff::ToSpan;
use jiff::civil::Date;

/// Beside a public way so near a boundary is a roadside.
///
/// # Source
/// Key `common-practice`: chosen by this project.
pub const ROADSIDE_WITHIN: Length = Length::metres(30.0);
/// So near to the end of the holding a line without a paddock beyond is taken for a boundary.
///
/// # Source
/// Key `common-practice`: chosen by this project.
pub const BOUNDARY_WITHIN: Length = Length::metres(30.0);

/// A group behind a line, as it is on the day that the plan is judged for.
#[derive(Clone, Debug, PartialEq)]
pub struct Behind {
    /// The paddock it is in; `None` where only the build says what it is for.
    pub paddock: Option<FeatureId>,
    /// Id of the group.
    pub group: Option<String>,
    /// Catalogue id of the class.
    pub animal: String,
    /// What one weighs on that day.
    pub kg: f64,
    /// What one weighed when it came, as posts are placed.
    pub came_kg: f64,
    /// What the line parts it from.
    pub purpose: Purpose,
    /// What that rests on.
    pub basis: PurposeBasis,
    /// The days that are looked at, from and to; `None` without a day to begin with.
    pub stay: Option<(Date, Date)>,
}

impl Behind {
    /// Whether it is the same but for the paddock.
    fn is_like(&self, other: &Self) -> bool {
        *self == Self { paddock: self.paddock.clone(), ..other.clone() }
    }

    /// Its limits on the day.
    pub fn limits<'a>(&self, catalogue: &'a Catalogue) -> Option<Limits<'a>> {
        self.limits_at(self.purpose, self.kg, catalogue)
    }
    fn limits_at<'a>(&self, purpose: Purpose, kg: f64, catalogue: &'a Catalogue) -> Option<Limits<'a>> {
        Limits::of(catalogue.animals.iter().find(|row| row.id == self.animal)?, purpose, kg, catalogue)
    }
    /// What a fence is worth for it: where nothing is drawn that would tell whether the line is a boundary, and it would not do for one, somebody
    /// has to look.
    pub fn judged(&self, catalogue: &Catalogue, judge: impl Fn(&Limits) -> Verdict) -> Option<(Verdict, Purpose)> {
        let inside = judge(&self.limits(catalogue)?);
        if self.basis != PurposeBasis::NothingDrawn {
            return Some((inside, self.purpose));
        }
        let outside = judge(&self.limits_at(Purpose::Boundary, self.kg, catalogue)?);
        let grade = outside.grade.min(Grade::LookAt);
        let is_doubtful = outside.grade >= Grade::LookAt && grade > inside.grade;
        Some(if is_doubtful { (Verdict { grade, ..outside }, Purpose::Boundary) } else { (inside, self.purpose) })
    }
}

/// Everybody behind a line who is there on the day or comes later.
pub(super) fn behind(checked: &Checked, line: &Feature) -> Vec<Behind> {
    let Kind::Fence(fence) = &line.kind else { return Vec::new() };
    let faces = checked.paddocks.iter().filter(|face| face.lines.contains(&line.id));
    let mut all: Vec<Behind> = Vec::new();
    let mut grounds: Vec<&PaddockFace> = Vec::new();
    for face in faces {
        let Some(found) = of_face(checked, line, face) else { continue };
        // A second mark on the same ground, with the same animals, asks nothing of a line that the first does not.
        let is_same = |(known, ground): (&Behind, &&PaddockFace)| known.is_like(&found) && ground.ring == face.ring;
        if !all.iter().zip(&grounds).any(is_same) {
            all.push(found);
            grounds.push(face);
        }
    }
    let build = checked.plan.build(&fence.build);
    all.extend(build.and_then(|build| of_build(checked, line, build, all.is_empty())));
    all
}

fn of_face(checked: &Checked, line: &Feature, face: &PaddockFace) -> Option<Behind> {
    let paddock = paddock_of(checked, &face.id)?;
    let group = checked.plan.head.stock.iter().find(|group| Some(&group.id) == paddock.stock.as_ref())?;
    let (purpose, basis) = purpose_of(checked, line, face);
    of_group(checked, group, paddock, (purpose, basis)).map(|found| Behind { paddock: Some(face.id.clone()), ..found })
}

fn of_group(
    checked: &Checked,
    group: &StockGroup,
    paddock: &Paddock,
    (purpose, basis): (Purpose, PurposeBasis),
) -> Option<Behind> {
    let day = checked.on.map(|on| paddock.from.map_or(on, |from| from.max(on))).or(paddock.from);
    if paddock.until.zip(checked.on).is_some_and(|(until, on)| until < on) {
        return None;
    }
    let then = GroupThen::of(group, purpose, day, checked.catalogue)?;
    let came_kg = weight_at(group, &checked.catalogue.animals, paddock.from).map_or(then.kg, |weight| weight.kg);
    Some(Behind {
        paddock: None,
        group: Some(group.id.clone()),
        animal: then.animal.id.clone(),
        kg: then.kg,
        came_kg,
        purpose,
        basis,
        stay: checked.on.map(|on| stay(on, paddock)),
    })
}

/// From the day, or the one on which they come, until they leave; half a year where nobody says.
fn stay(on: Date, paddock: &Paddock) -> (Date, Date) {
    let from = paddock.from.map_or(on, |from| from.max(on));
    (from, paddock.until.unwrap_or_else(|| from.saturating_add(DAYS_LOOKED_AT.days())))
}

/// What a build is for: what it keeps out always, what it keeps in where nobody stands behind the line.
fn of_build(checked: &Checked, line: &Feature, build: &Build, is_alone: bool) -> Option<Behind> {
    let class = build.class.as_ref()?;
    let animal = checked.catalogue.animals.iter().find(|row| row.class == *class)?;
    let (purpose, basis) = said_of_line(line).unwrap_or_else(|| guessed(checked, line));
    let kg = animal.mass_kg;
    (is_alone || !animal.is_kept_in()).then(|| Behind {
        paddock: None,
        group: None,
        animal: animal.id.clone(),
        kg,
        came_kg: kg,
        purpose: if animal.is_kept_in() { purpose } else { Purpose::Boundary },
        basis,
        stay: None,
    })
}

fn paddock_of<'a>(checked: &Checked<'a>, id: &FeatureId) -> Option<&'a Paddock> {
    let Kind::Paddock(paddock) = &checked.plan.feature(id)?.kind else { return None };
    Some(paddock)
}

fn said_of_line(line: &Feature) -> Option<(Purpose, PurposeBasis)> {
    let Kind::Fence(fence) = &line.kind else { return None };
    fence.purpose.map(|purpose| (purpose, PurposeBasis::OfLine))
}

/// What a line parts the stock of a paddock from: as somebody says of the line, else by what lies beyond, else as somebody says of the paddock,
/// else by what is drawn near.
pub(super) fn purpose_of(checked: &Checked, line: &Feature, face: &PaddockFace) -> (Purpose, PurposeBasis) {
    let inside = (!face.outer.contains(&line.id)).then_some((Purpose::Interior, PurposeBasis::PaddocksBeyond));
    let of_paddock = || Some((paddock_of(checked, &face.id)?.purpose?, PurposeBasis::OfPaddock));
    said_of_line(line).or(inside).or_else(of_paddock).unwrap_or_else(|| guessed(checked, line))
}

fn guessed(checked: &Checked, line: &Feature) -> (Purpose, PurposeBasis) {
    let corners: Vec<MapPoint> = line.line().unwrap_or_default().iter().filter_map(|at| checked.frame.to_map(*at).ok()).collect();
    let Some(reach) = MapRect::around(corners.iter().copied()) else { return (Purpose::Interior, PurposeBasis::NothingDrawn) };
    let is_near = |points: &[MapPoint], within: Length| {
        if !may_be_near(reach, points, within.as_metres()) {
            return false;
        }
        // The nearest places of two lines that do not cross lie at a corner of one of them.
        let from_line = corners.iter().filter_map(|corner| nearest_m(*corner, points));
        let from_points = points.iter().filter_map(|point| nearest_m(*point, &corners));
        from_line.chain(from_points).any(|off_m| off_m <= within.as_metres())
    };
    let around = checked.surroundings;
    match () {
        () if around.ways.iter().any(|way| is_near(&way.points, ROADSIDE_WITHIN)) => (Purpose::Roadside, PurposeBasis::NearWay),
        () if around.boundaries.iter().any(|boundary| is_near(&boundary.points, BOUNDARY_WITHIN)) => {
            (Purpose::Boundary, PurposeBasis::NearBoundary)
        }
        () if around.boundaries.is_empty() => (Purpose::Interior, PurposeBasis::NothingDrawn),
        () => (Purpose::Interior, PurposeBasis::OwnLandBeyond),
    }
}

/// Whether the rectangle around some points comes so near to another.
fn may_be_near(reach: MapRect, points: &[MapPoint], within_m: f64) -> bool {
    MapRect::around(points.iter().copied()).is_some_and(|other| {
        other.min.x_m <= reach.max.x_m + within_m
            && other.max.x_m >= reach.min.x_m - within_m
            && other.min.y_m <= reach.max.y_m + within_m
            && other.max.y_m >= reach.min.y_m - within_m
    })
}

/// The animals behind a line, as the catalogue has them.
pub fn line_animals<'a>(checked: &Checked<'a>, line: &Feature) -> std::vec::IntoIter<&'a AnimalRow> {
    let Kind::Fence(fence) = &line.kind else { return Vec::new().into_iter() };
    let faces = checked.paddocks.iter().filter(|face| face.lines.contains(&line.id));
    let groups = faces.filter_map(|face| super::beside::group_in(checked, &face.id));
    let mut all: Vec<&AnimalRow> = groups.filter_map(|group| animal_of(checked, group)).collect();
    let class = checked.plan.build(&fence.build).and_then(|build| build.class.as_ref());
    let row = class.and_then(|class| checked.catalogue.animals.iter().find(|row| row.class == *class));
    all.extend(row.filter(|row| all.is_empty() || !row.is_kept_in()));
    all.into_iter()
}

/// What the catalogue has for a group, as it was weighed.
pub(super) fn animal_of<'a>(checked: &Checked<'a>, group: &StockGroup) -> Option<&'a AnimalRow> {
    row_of(group, weight_at(group, &checked.catalogue.animals, checked.on)?.kg, checked.catalogue)
}

/// What the groups behind a line ask of the room under its strands, as they were when they came; `None`: as is usual.
pub(super) fn clearance(checked: &Checked, line: &Feature, behind: &[Behind]) -> Option<Clearance> {
    let Kind::Fence(fence) = &line.kind else { return None };
    let build = checked.plan.build(&fence.build)?;
    let limits: Vec<Limits> =
        behind.iter().filter_map(|group| group.limits_at(group.purpose, group.came_kg, checked.catalogue)).collect();
    (!limits.is_empty()).then(|| Clearance::of(build, &limits)).flatten()
}

impl LineRole {
    /// The groups behind the line with what is known of them.
    pub fn behind(&self) -> &[Behind] {
        &self.behind
    }
}
