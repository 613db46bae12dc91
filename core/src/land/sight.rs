//! Straight sight over a grid: what of the ground, and of what grows on it, stands between an eye and what it looks at.

use super::WorkingGrid;

/// Up to this distance the curve of the Earth is left out: it hides 0.27 m at 2 km.
///
/// # Source
/// Key `common-practice`.
const CURVED_BEYOND_M: f64 = 2000.0;
/// Share of the Earth's curve that refraction leaves.
///
/// # Source
/// Key `sight-refraction`.
const LEFT_BY_REFRACTION: f64 = 1.0 - 0.13;
/// Mean radius of the Earth, metres.
///
/// # Source
/// Key `sight-refraction`.
const EARTH_RADIUS_M: f64 = 6_371_000.0;
/// A surface that reaches the ray but not above it hides nothing; rounding must not decide that.
const TOUCH_M: f64 = 1e-12;
/// A crossing this near to the middle of a cell, in cells, is in the middle of it.
const SNAP_CELLS: f64 = 1e-9;

/// What stands on a cell, above the ground.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cover {
    /// How high it stands in summer, metres; nothing is seen through it.
    pub summer_m: f64,
    /// How high once the leaves have fallen, metres.
    pub leaf_off_m: f64,
    /// Whether it is woodland: one sees some way into it, whatever its height.
    pub is_wood: bool,
}

/// How far one sees into woodland: where half of what is there can still be made out.
///
/// # Source
/// Key `woodland-sight`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IntoWood {
    /// In summer, metres.
    pub summer_m: f64,
    /// Once the leaves have fallen, metres.
    pub leaf_off_m: f64,
}

/// In woodland half of what is there can still be made out at these distances.
pub const INTO_WOOD: IntoWood = IntoWood { summer_m: 30.0, leaf_off_m: 60.0 };

/// An eye, or what it looks at: a fractional cell, and a height above the zero of the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RayEnd {
    /// Fractional column of cell middles.
    pub column: f64,
    /// Fractional row.
    pub row: f64,
    /// Height, metres.
    pub height_m: f64,
}

/// Whether the way of a look is free.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Seen {
    /// In summer.
    pub summer: bool,
    /// Once the leaves have fallen.
    pub leaf_off: bool,
}

impl Seen {
    /// Nothing in the way all the year.
    pub const ALWAYS: Self = Self { summer: true, leaf_off: true };

    /// Seen if it is seen either way.
    pub fn or(self, other: Self) -> Self {
        Self { summer: self.summer || other.summer, leaf_off: self.leaf_off || other.leaf_off }
    }
}

/// A ground to look over, with what stands on each of its cells.
#[derive(Clone, Debug, PartialEq)]
pub struct SightGround {
    grid: WorkingGrid,
    covers: Vec<Cover>,
    /// Which of the covers stands on each cell.
    cover_of: Vec<u8>,
}

impl SightGround {
    /// Bare ground.
    pub fn bare(grid: WorkingGrid) -> Self {
        let cells = grid.heights_m().len();
        Self { grid, covers: vec![Cover::default()], cover_of: vec![0; cells] }
    }

    /// Puts something on cells, in place of what stood there. After some 250 kinds of it no more is taken.
    pub fn cover(&mut self, what: Cover, cells: impl IntoIterator<Item = usize>) {
        let known = self.covers.iter().position(|cover| *cover == what);
        let index = known.unwrap_or_else(|| {
            self.covers.push(what);
            self.covers.len() - 1
        });
        let Ok(index) = u8::try_from(index) else { return };
        for cell in cells {
            self.cover_of[cell] = index;
        }
    }

    /// The grid that is looked over.
    pub fn grid(&self) -> &WorkingGrid {
        &self.grid
    }

    /// Whether something is seen from somewhere.
    ///
    /// Every crossing of the ray with a row and with a column of cell middles is looked at: there the ground is interpolated between the two
    /// cells that the ray passes between, and the cover of the nearest cell stands on it, except on the cells of the two ends. The ray is free
    /// where `ground + cover <= za + (zb - za) t`; through woodland what is there is made out with a chance of
    /// `exp(-d ln 2 / d50)`, and counts as seen above a half. Beyond 2 km the Earth's curve stands in between,
    /// `0.87 d1 d2 / (2 R)` between the distances to both ends. Unknown ground hides nothing.
    ///
    /// # Units
    /// Cells and metres as in [`RayEnd`].
    /// # Valid for
    /// Cells much smaller than what is to be told apart; ends on known ground.
    /// # Source
    /// `franklin-ray-1994` for looking at both kinds of crossings; `woodland-sight` for woodland.
    pub fn sees(&self, from: RayEnd, to: RayEnd, into_wood: IntoWood) -> Seen {
        let ray = Ray::new(&self.grid, from, to);
        let (across, down) = (ray.across(), ray.down());
        let (longer, shorter) = if across.steps.abs() >= down.steps.abs() { (across, down) } else { (down, across) };
        // Woodland is told along the longer axis alone; of most rays into a wood that is all there is to look at.
        let step_m = ray.distance_m / longer.steps.abs();
        let seen = self.walk(&ray, &longer, Seen::ALWAYS, |steps| {
            let wood_m = steps as f64 * step_m;
            Seen { summer: made_out(wood_m, into_wood.summer_m), leaf_off: made_out(wood_m, into_wood.leaf_off_m) }
        });
        self.walk(&ray, &shorter, seen, |_| Seen::ALWAYS)
    }

    /// Looks at the crossings of one kind; `through` says what is made out through so many cells of woodland.
    fn walk(&self, ray: &Ray, axis: &Axis, mut seen: Seen, through: impl Fn(usize) -> Seen) -> Seen {
        let mut in_wood = 0;
        for whole in axis.wholes() {
            if seen == Seen::default() {
                return seen;
            }
            let share = (whole as f64 - axis.start) / axis.steps;
            let other = ray.snapped(axis.other_start + axis.other_steps * share);
            let Some((ground_m, nearest)) = self.ground_at(axis.is_across, whole, other) else { continue };
            let room_m = ray.height_m(share) - ground_m + TOUCH_M;
            let cover = if ray.is_end(nearest) { Cover::default() } else { self.covers[usize::from(self.cover_of[nearest])] };
            seen.summer &= cover.summer_m <= room_m;
            seen.leaf_off &= cover.leaf_off_m <= room_m;
            if cover.is_wood {
                in_wood += 1;
                let made_out = through(in_wood);
                seen = Seen { summer: seen.summer && made_out.summer, leaf_off: seen.leaf_off && made_out.leaf_off };
            }
        }
        seen
    }

    /// The ground where a ray crosses a whole column (or row) at a fractional row (or column), and the cell nearest to it.
    fn ground_at(&self, is_across: bool, whole: i64, other: f64) -> Option<(f64, usize)> {
        let index = |other: f64| {
            let other = usize::try_from(other as i64).ok()?;
            let whole = usize::try_from(whole).ok()?;
            let (column, row) = if is_across { (whole, other) } else { (other, whole) };
            (column < self.grid.columns() && row < self.grid.rows()).then(|| self.grid.index(column, row))
        };
        let low = other.floor();
        let part = other - low;
        let heights_m = self.grid.heights_m();
        let first = index(low)?;
        if part <= 0.0 {
            return Some((heights_m[first], first)).filter(|(height, _)| height.is_finite());
        }
        let second = index(low + 1.0)?;
        let height_m = heights_m[first] + (heights_m[second] - heights_m[first]) * part;
        height_m.is_finite().then_some((height_m, if part < 0.5 { first } else { second }))
    }
}

/// Whether enough is made out through so much woodland: `exp(-d ln 2 / d50) > 0.5`, which is `d < d50`.
fn made_out(wood_m: f64, half_at_m: f64) -> bool {
    // The same without the exponential, which is asked for at every cell of a wood.
    wood_m < half_at_m
}

/// A ray with what is asked of it at every crossing.
struct Ray {
    from: RayEnd,
    to: RayEnd,
    distance_m: f64,
    /// How much the Earth's curve stands up half-way, times four.
    bulge_m: f64,
    ends: [Option<usize>; 2],
}

/// The crossings of a ray with columns, or with rows.
struct Axis {
    is_across: bool,
    start: f64,
    steps: f64,
    other_start: f64,
    other_steps: f64,
}

impl Axis {
    /// The whole columns or rows strictly between the ends.
    fn wholes(&self) -> std::ops::Range<i64> {
        let (low, high) = (self.start.min(self.start + self.steps), self.start.max(self.start + self.steps));
        ((low + SNAP_CELLS).floor() as i64 + 1)..((high - SNAP_CELLS).ceil() as i64)
    }
}

impl Ray {
    fn new(grid: &WorkingGrid, from: RayEnd, to: RayEnd) -> Self {
        let distance_m = (to.column - from.column).hypot(to.row - from.row) * grid.spacing().as_metres();
        let bulge_m = if distance_m > CURVED_BEYOND_M {
            LEFT_BY_REFRACTION * distance_m * distance_m / (2.0 * EARTH_RADIUS_M)
        } else {
            0.0
        };
        let end = |end: RayEnd| grid.cell_of(grid.to_map(end.column, end.row));
        Self { from, to, distance_m, bulge_m, ends: [end(from), end(to)] }
    }

    fn across(&self) -> Axis {
        Axis {
            is_across: true,
            start: self.from.column,
            steps: self.to.column - self.from.column,
            other_start: self.from.row,
            other_steps: self.to.row - self.from.row,
        }
    }

    fn down(&self) -> Axis {
        Axis {
            is_across: false,
            start: self.from.row,
            steps: self.to.row - self.from.row,
            other_start: self.from.column,
            other_steps: self.to.column - self.from.column,
        }
    }

    fn height_m(&self, share: f64) -> f64 {
        self.from.height_m + (self.to.height_m - self.from.height_m) * share - self.bulge_m * share * (1.0 - share)
    }

    fn is_end(&self, cell: usize) -> bool {
        self.ends.contains(&Some(cell))
    }

    fn snapped(&self, place: f64) -> f64 {
        if (place - place.round()).abs() < SNAP_CELLS { place.round() } else { place }
    }
}
