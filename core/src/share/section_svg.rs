//! The long section of a line as a picture to be printed or sent: strip under strip, each post by its kind, every strand, the band of
//! the lowest one, and where findings are.

use super::drawing::{Anchor, DASHED, Drawing, Pen, Place, Type, wrapped};
use super::section_signs::{EARTHED, FAINT, GOOD, GRID, GROUND, INK, LIVE, PAPER, SectionSign, draw_sign, ink_of};
use crate::finding::Weight;
use crate::hold::{Post, PostRole, Sample, TREE_POST};
use crate::outcome::LineOutcome;
use crate::plan::{Build, UnitSystem};
use crate::units::FOOT_M;

/// What is drawn.
pub struct SectionPicture<'a> {
    /// The line.
    pub line: &'a LineOutcome,
    /// Its build; without one no strands are drawn.
    pub build: Option<&'a Build>,
    /// What was found on it.
    pub findings: Vec<FoundPlace>,
    /// Units of the axes.
    pub units: UnitSystem,
    /// What is written on it.
    pub words: SectionWords,
    /// What it is drawn on.
    pub on: SectionPaper,
}

/// What a long section is drawn on: how wide it is, and how much of the line stands in one strip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SectionPaper {
    /// A picture of 1600 points, for a screen.
    #[default]
    Screen,
    /// A page to be printed, whose letters can be read there.
    Page,
}

impl SectionPaper {
    fn width(self) -> f64 {
        if self == Self::Screen { 1600.0 } else { 1000.0 }
    }
    /// Strips at most.
    fn most_strips(self) -> f64 {
        if self == Self::Screen { 16.0 } else { 4.0 }
    }
    /// Letters in a line of words.
    fn letters(self) -> usize {
        if self == Self::Screen { 210 } else { 125 }
    }
    fn legend_columns(self) -> usize {
        if self == Self::Screen { 5 } else { 4 }
    }
}

/// One finding on the line.
pub struct FoundPlace {
    /// How much it matters.
    pub weight: Weight,
    /// From this station on, metres.
    pub from_m: f64,
    /// Until this one, when it is a stretch, metres.
    pub until_m: Option<f64>,
    /// What it is, in a few words.
    pub says: String,
}

/// What is written on the picture.
pub struct SectionWords {
    /// Above everything.
    pub title: String,
    /// Under the title, each in a line.
    pub facts: Vec<String>,
    /// What the signs stand for.
    pub legend: Vec<(SectionSign, String)>,
    /// Over the list of findings.
    pub findings: String,
    /// At the foot, each from a new line on.
    pub cautions: Vec<String>,
    /// Of numbers along the line, such as `stations in m`.
    pub stations: String,
    /// How heights are stretched, from the factor.
    pub stretched: fn(f64) -> String,
}

const LEFT: f64 = 84.0;
const RIGHT: f64 = 30.0;
/// Room above the ground of a strip for posts and signs, and below it for findings and stations.
const ABOVE: f64 = 42.0;
const BELOW: f64 = 62.0;
/// Length of the longest strip, metres, unless there would be more of them than this.
const STRIP_M: f64 = 110.0;
/// The tallest ground of a strip when heights are stretched.
const TALLEST: f64 = 260.0;
const STRETCHES: [f64; 5] = [5.0, 3.0, 2.0, 1.5, 1.0];

const BODY: Type = Type { size: 15.0, ink: INK, anchor: Anchor::Start, bold: false };
const SMALL: Type = Type { size: 13.0, ink: FAINT, anchor: Anchor::Middle, bold: false };

/// The picture as SVG; `None` where nothing is known of the ground.
pub fn section_svg(picture: &SectionPicture) -> Option<Vec<u8>> {
    Some(section_drawing(picture)?.to_svg())
}

/// The picture; `None` where nothing is known of the ground.
pub fn section_drawing(picture: &SectionPicture) -> Option<Drawing> {
    let plan = Layout::of(picture)?;
    let mut svg = Drawing::new(picture.on.width(), plan.height(picture), PAPER, &picture.words.title);
    svg.words((LEFT, 44.0), &picture.words.title, Type { size: 26.0, bold: true, ..BODY });
    let stretched = (picture.words.stretched)(plan.stretch);
    let facts = picture.facts().into_iter().chain([stretched]);
    for (index, fact) in facts.enumerate() {
        svg.words((LEFT, 70.0 + 20.0 * index as f64), &fact, BODY);
    }
    for strip in &plan.strips {
        draw_strip(&mut svg, picture, strip);
    }
    foot(&mut svg, picture, plan.foot());
    Some(svg)
}

impl SectionPicture<'_> {
    /// Facts in lines that fit.
    fn facts(&self) -> Vec<String> {
        self.words.facts.iter().flat_map(|fact| wrapped(fact, self.on.letters())).collect()
    }
}

/// A part of the line with its place on the paper.
struct Strip {
    from_m: f64,
    to_m: f64,
    low_m: f64,
    high_m: f64,
    top: f64,
    per_m: f64,
    up_per_m: f64,
}

impl Strip {
    fn x(&self, station_m: f64) -> f64 {
        LEFT + (station_m - self.from_m) * self.per_m
    }
    fn y(&self, height_m: f64) -> f64 {
        self.top + ABOVE + (self.high_m - height_m) * self.up_per_m
    }
    fn at(&self, station_m: f64, height_m: f64) -> Place {
        (self.x(station_m), self.y(height_m))
    }
    /// Where its ground ends below.
    fn base(&self) -> f64 {
        self.y(self.low_m) + 14.0
    }
    fn bottom(&self) -> f64 {
        self.base() + BELOW
    }
    fn holds(&self, station_m: f64) -> bool {
        (self.from_m - 1e-6..=self.to_m + 1e-6).contains(&station_m)
    }
    /// A stretch of the line as far as it lies on the strip.
    fn part(&self, from_m: f64, to_m: f64) -> Option<(f64, f64)> {
        let part = (from_m.max(self.from_m), to_m.min(self.to_m));
        (part.0 <= part.1).then_some(part)
    }
}

struct Layout {
    strips: Vec<Strip>,
    stretch: f64,
}

impl Layout {
    fn of(picture: &SectionPicture) -> Option<Self> {
        let samples = &picture.line.section.samples;
        let length_m = samples.last()?.station_m.max(1.0);
        let count = (length_m / STRIP_M).ceil().clamp(1.0, picture.on.most_strips());
        let strip_m = length_m / count;
        let per_m = (picture.on.width() - LEFT - RIGHT) / strip_m;
        let top_m = picture.build.and_then(|build| build.strands.last()).map_or(0.6, |strand| strand.height.as_metres()) + 0.2;
        let reliefs: Vec<(f64, f64, f64, f64)> = (0..count as usize)
            .filter_map(|index| {
                let (from_m, to_m) = (index as f64 * strip_m, ((index + 1) as f64 * strip_m).min(length_m));
                let (low_m, high_m) = relief(samples, from_m, to_m)?;
                Some((from_m, to_m, low_m, high_m + top_m))
            })
            .collect();
        let tallest_m = reliefs.iter().map(|(.., low_m, high_m)| high_m - low_m).fold(0.0, f64::max);
        let fits = |stretch: &f64| tallest_m * per_m * stretch <= TALLEST;
        let stretch = STRETCHES.into_iter().find(fits).unwrap_or(1.0);
        let mut top = 84.0 + 20.0 * (picture.facts().len() + 1) as f64;
        let mut strips = Vec::new();
        for (from_m, to_m, low_m, high_m) in reliefs {
            let strip = Strip { from_m, to_m, low_m, high_m, top, per_m, up_per_m: per_m * stretch };
            top = strip.bottom();
            strips.push(strip);
        }
        (!strips.is_empty()).then_some(Self { strips, stretch })
    }

    fn foot(&self) -> f64 {
        self.strips.last().map_or(0.0, Strip::bottom) + 16.0
    }

    fn height(&self, picture: &SectionPicture) -> f64 {
        let words = &picture.words;
        let legend = words.legend.len().div_ceil(picture.on.legend_columns());
        let cautions: usize = words.cautions.iter().map(|caution| wrapped(caution, picture.on.letters()).len()).sum();
        let found = picture.findings.len() + usize::from(!picture.findings.is_empty());
        self.foot() + 24.0 * legend as f64 + 22.0 * (found + cautions) as f64 + 56.0
    }
}

/// Lowest and highest ground between two stations.
fn relief(samples: &[Sample], from_m: f64, to_m: f64) -> Option<(f64, f64)> {
    let within = samples.iter().filter(|sample| (from_m..=to_m).contains(&sample.station_m)).filter_map(|sample| sample.ground_m);
    let (low_m, high_m) = within.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)));
    low_m.is_finite().then_some((low_m, high_m))
}

fn draw_strip(svg: &mut Drawing, picture: &SectionPicture, strip: &Strip) {
    axes(svg, picture, strip);
    ground(svg, picture, strip);
    if let Some(build) = picture.build {
        band(svg, picture, strip);
        strands(svg, picture, strip, build);
    }
    for post in picture.line.hold.posts.iter().filter(|post| strip.holds(post.station.as_metres())) {
        draw_post(svg, picture, strip, post);
    }
    found(svg, picture, strip);
}

fn axes(svg: &mut Drawing, picture: &SectionPicture, strip: &Strip) {
    let unit_m = if picture.units == UnitSystem::Us { FOOT_M } else { 1.0 };
    let step_m = nice_step(110.0 / strip.per_m / unit_m) * unit_m;
    let mut station_m = (strip.from_m / step_m - 1e-9).ceil() * step_m;
    while station_m <= strip.to_m + 1e-6 {
        let x = strip.x(station_m);
        svg.line(&[(x, strip.top + 6.0), (x, strip.base())], Pen::of(GRID, 1.0));
        svg.words((x, strip.base() + 46.0), &format!("{:.0}", (station_m / unit_m).round() + 0.0), SMALL);
        station_m += step_m;
    }
    let rise_m = nice_step(34.0 / strip.up_per_m / unit_m) * unit_m;
    let mut height_m = (strip.low_m / rise_m).ceil() * rise_m;
    while strip.y(height_m) > strip.top + 8.0 {
        let y = strip.y(height_m);
        svg.line(&[(LEFT, y), (strip.x(strip.to_m), y)], Pen::of(GRID, 1.0));
        let decimals = if rise_m / unit_m < 1.0 { 1 } else { 0 };
        svg.words((LEFT - 8.0, y + 4.0), &format!("{:.decimals$}", height_m / unit_m), Type { anchor: Anchor::End, ..SMALL });
        height_m += rise_m;
    }
    let words = Type { anchor: Anchor::End, ..SMALL };
    svg.words((LEFT - 8.0, strip.base() + 24.0), &picture.words.stations, words);
}

fn nice_step(at_least: f64) -> f64 {
    let power = 10.0_f64.powf(at_least.max(1e-6).log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|step| step * power).find(|step| *step >= at_least).unwrap_or(10.0 * power)
}

/// Runs of neighbouring samples on the strip whose ground is known.
fn known<'a>(picture: &'a SectionPicture, strip: &'a Strip) -> Vec<Vec<(f64, f64)>> {
    let section = &picture.line.section;
    let within =
        section.samples.iter().filter(|sample| strip.from_m < sample.station_m && sample.station_m < strip.to_m).copied();
    let samples = section.sample_at_station(strip.from_m).into_iter().chain(within).chain(section.sample_at_station(strip.to_m));
    let mut runs: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for sample in samples {
        match (sample.ground_m, runs.last_mut()) {
            (Some(ground_m), Some(run)) => run.push((sample.station_m, ground_m)),
            (None, Some(run)) if !run.is_empty() => runs.push(Vec::new()),
            _ => {}
        }
    }
    runs
}

fn ground(svg: &mut Drawing, picture: &SectionPicture, strip: &Strip) {
    for run in known(picture, strip) {
        let surface: Vec<Place> = run.iter().map(|(station_m, z)| strip.at(*station_m, *z)).collect();
        let (Some(first), Some(last)) = (surface.first(), surface.last()) else { continue };
        let outline = [surface.clone(), vec![(last.0, strip.base()), (first.0, strip.base())]].concat();
        svg.area(&outline, GROUND, 0.22);
        svg.line(&surface, Pen::of(GROUND, 2.0));
    }
}

fn band(svg: &mut Drawing, picture: &SectionPicture, strip: &Strip) {
    let Some((low, high)) = picture.line.hold.bands.first().copied() else { return };
    for run in known(picture, strip) {
        let above = run.iter().map(|(station_m, z)| strip.at(*station_m, z + high.as_metres()));
        let below = run.iter().rev().map(|(station_m, z)| strip.at(*station_m, z + low.as_metres()));
        svg.area(&above.chain(below).collect::<Vec<_>>(), GOOD, 0.22);
    }
}

/// Each bay's strands, straight from post to post; a gate is a dashed line.
fn strands(svg: &mut Drawing, picture: &SectionPicture, strip: &Strip, build: &Build) {
    let hold = &picture.line.hold;
    for (index, bay) in hold.bays.iter().enumerate() {
        let (from_m, to_m) = (bay.from.as_metres(), bay.to.as_metres());
        let Some((shown_from, shown_to)) = strip.part(from_m, to_m).filter(|_| to_m > from_m) else { continue };
        let Some(ends) = hold.posts_of(index) else { continue };
        let Some((z0, z1)) = hung_m(ends.0).zip(hung_m(ends.1)) else { continue };
        let height_m = |station_m: f64| z0 + (z1 - z0) * (station_m - from_m) / (to_m - from_m);
        for strand in &build.strands {
            let up_m = strand.height.as_metres();
            let ends = [shown_from, shown_to].map(|station_m| strip.at(station_m, height_m(station_m) + up_m));
            let pen = Pen::of(if strand.live { LIVE } else { EARTHED }, 1.3).with(if bay.gate.is_some() { DASHED } else { &[] });
            svg.line(&ends, pen);
        }
    }
}

/// Where strands hang at a post, short of their height above its foot.
fn hung_m(post: &Post) -> Option<f64> {
    post.ground.map(|ground| ground.as_metres() + post.off.as_metres())
}

/// Posts that strands only hang on are thin, pegs thinner and broken.
fn post_pen(role: PostRole) -> Pen {
    match role {
        PostRole::Peg => Pen::dashed(INK, 1.0),
        PostRole::Line => Pen::of(INK, 1.6),
        _ => Pen::of(INK, 3.0),
    }
}

fn draw_post(svg: &mut Drawing, picture: &SectionPicture, strip: &Strip, post: &Post) {
    let Some(foot_m) = post.ground.map(|ground| ground.as_metres()) else { return };
    let top_m = picture.build.and_then(|build| build.strands.last()).map_or(0.6, |strand| strand.height.as_metres()) + 0.15;
    let x = strip.x(post.station.as_metres());
    let (foot, top) = (strip.y(foot_m), strip.y(foot_m + top_m).min(strip.y(foot_m) - 10.0));
    svg.line(&[(x, foot + 4.0), (x, top)], post_pen(post.role));
    let sign = if post.post == TREE_POST { SectionSign::Tree } else { SectionSign::Post(post.role) };
    draw_sign(svg, sign, (x, top - 8.0));
    if post.pinned {
        draw_sign(svg, SectionSign::Pinned, (x, top - 22.0));
    }
    if post.held_down {
        draw_sign(svg, SectionSign::HeldDown, (x, foot + 11.0));
    }
}

/// Findings as numbered discs and bars under the ground.
fn found(svg: &mut Drawing, picture: &SectionPicture, strip: &Strip) {
    let mut taken: Vec<(f64, usize)> = Vec::new();
    for (index, finding) in picture.findings.iter().enumerate() {
        let until_m = finding.until_m.unwrap_or(finding.from_m);
        let Some((from_m, to_m)) = strip.part(finding.from_m, until_m) else { continue };
        let (x, ink) = (strip.x(from_m), ink_of(finding.weight));
        svg.line(&[(x, strip.base() + 5.0), (strip.x(to_m), strip.base() + 5.0)], Pen::of(ink, 4.0));
        // Where several begin at one place, they stand beside each other.
        let beside = taken.iter().filter(|(at, _)| (at - x).abs() < 14.0).count();
        taken.push((x, index));
        let at = (x + 7.0 + 17.0 * beside as f64, strip.base() + 19.0);
        svg.disc(at, 8.5, ink);
        let number = Type { size: 11.0, ink: PAPER, anchor: Anchor::Middle, bold: true };
        svg.words((at.0, at.1 + 4.0), &format!("{}", index + 1), number);
    }
}

fn foot(svg: &mut Drawing, picture: &SectionPicture, top: f64) {
    let columns = picture.on.legend_columns();
    let column = (picture.on.width() - LEFT - RIGHT) / picture.on.legend_columns() as f64;
    for (index, (sign, words)) in picture.words.legend.iter().enumerate() {
        let (x, y) = (LEFT + column * (index % columns) as f64, top + 24.0 * (index / columns) as f64);
        if let SectionSign::Post(role) = sign {
            svg.line(&[(x + 10.0, y + 6.0), (x + 10.0, y - 4.0)], post_pen(*role));
        }
        draw_sign(svg, *sign, (x + 10.0, y - 4.0));
        svg.words((x + 28.0, y), words, Type { size: 14.0, ..BODY });
    }
    let mut y = top + 24.0 * picture.words.legend.len().div_ceil(picture.on.legend_columns()) as f64 + 14.0;
    if !picture.findings.is_empty() {
        svg.words((LEFT, y), &picture.words.findings, Type { bold: true, ..BODY });
        y += 22.0;
    }
    for (index, finding) in picture.findings.iter().enumerate() {
        svg.disc((LEFT + 10.0, y - 5.0), 8.5, ink_of(finding.weight));
        let number = Type { size: 11.0, ink: PAPER, anchor: Anchor::Middle, bold: true };
        svg.words((LEFT + 10.0, y - 1.0), &format!("{}", index + 1), number);
        svg.words((LEFT + 28.0, y), &finding.says, BODY);
        y += 22.0;
    }
    let lines = picture.words.cautions.iter().flat_map(|caution| wrapped(caution, picture.on.letters()));
    for line in lines {
        y += 22.0;
        svg.words((LEFT, y - 10.0), &line, Type { ink: "#b3261e", ..BODY });
    }
}
