//! Pictures of the ground for the window, tile by tile.

use super::coarse::Coarse;
use super::shade_colours::{Colour, DARK, LIGHT, Tones, mix};
use super::slope::{Axes, completed, horn_of};
use super::survey::{Light, Sun};
use super::tile::TilePart;
use super::{Gradient, Grid, ShadeTile, TILE_SIDE};

/// The paper under the picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Paper {
    /// Warm and pale.
    Light,
    /// For dark rooms.
    Dark,
}

/// Whether height shows as colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tint {
    /// One paper for all heights.
    Plain,
    /// From green-grey at the lowest to stone at the highest.
    Heights {
        /// Here and below: the lowest tint.
        low_m: f64,
        /// Here and above: the highest tint.
        high_m: f64,
    },
}

/// What a picture of the ground shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ShadeStyle {
    /// Paper modelled by a soft light from three sides.
    Relief {
        /// The paper.
        paper: Paper,
        /// Whether height shows.
        tint: Tint,
    },
    /// Slope in the classes of [`SLOPE_CLASSES_PCT`], modelled by a weaker light.
    Slope {
        /// The paper.
        paper: Paper,
    },
}

/// Upper ends of the slope classes in percent; the last class is open.
///
/// # Source
/// common-practice: 12, 20 and 25 % are where a loaded vehicle begins to be limited, should be driven with caution, and
/// should not be driven; 40 and 60 % are where building a fence by hand becomes slow, then hard.
pub const SLOPE_CLASSES_PCT: [f64; 5] = [12.0, 20.0, 25.0, 40.0, 60.0];

fn tones(paper: &Paper) -> Tones {
    if *paper == Paper::Light { LIGHT } else { DARK }
}

/// One class of slope on the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlopeClass {
    /// Slopes below this, in percent; `None` for the steepest class.
    pub below_pct: Option<f64>,
    /// Red, green, blue.
    pub colour: [u8; 3],
}

/// The slope classes of a paper, gentlest first: the key to a picture in [`ShadeStyle::Slope`].
pub fn slope_classes(paper: Paper) -> [SlopeClass; 6] {
    let colours = tones(&paper).slopes;
    std::array::from_fn(|k| SlopeClass {
        below_pct: SLOPE_CLASSES_PCT.get(k).copied(),
        colour: colours[k].map(|channel| channel as u8),
    })
}

/// Tiles along a row and rows of tiles at a level, where a texel stands for 2^level cells a side.
pub fn shade_tiles(grid: &Grid, level: u8) -> (usize, usize) {
    let (columns, rows) = Coarse::new(grid, level).size();
    (columns.div_ceil(TILE_SIDE), rows.div_ceil(TILE_SIDE))
}

/// The finest level at which the whole grid is one tile.
pub fn level_of_one_tile(grid: &Grid) -> u8 {
    (0..=super::coarse::COARSEST).find(|level| shade_tiles(grid, *level) <= (1, 1)).unwrap_or(super::coarse::COARSEST)
}

/// Paints one tile of at most [`TILE_SIDE`] texels a side; `None` where there is no such tile.
///
/// A texel at level L stands for 2^L x 2^L cells: its height is the mean of up to 16 of them, and so is its slope in
/// [`ShadeStyle::Slope`] (the slope of the mean would hide steep banks). Reads nothing but the cells it needs, so the
/// first coarse picture of a large grid costs no more than one of a small grid.
pub fn shade_tile(grid: &Grid, level: u8, tile_column: usize, tile_row: usize, style: &ShadeStyle) -> Option<ShadeTile> {
    let coarse = Coarse::new(grid, level);
    let part = TilePart::of(coarse.size(), (tile_column, tile_row))?;
    let ((first_column, first_row), (columns, rows)) = (part.first, part.size);
    let heights = coarse.heights((first_column as isize - 1, first_row as isize - 1), columns + 2, rows + 2);
    let brush = Brush::new(style);
    let mut rgba = Vec::with_capacity(4 * columns * rows);
    for row in 0..rows {
        let axes = grid.axes(coarse.cell_at((first_row + row) as f64));
        let lines: [&[f32]; 3] = std::array::from_fn(|k| &heights[(row + k) * (columns + 2)..(row + k + 1) * (columns + 2)]);
        for column in 0..columns {
            let Some(gradient) = texel_gradient(&lines, column, axes, coarse.side()) else {
                rgba.extend([0; 4]);
                continue;
            };
            let slope = match style {
                ShadeStyle::Slope { .. } if level > 0 => mean_slope(coarse, first_column + column, first_row + row, axes),
                _ => gradient.slope(),
            };
            rgba.extend(brush.texel(gradient, slope, lines[1][column + 1], level));
        }
    }
    Some(part.painted(rgba, coarse.side()))
}

/// Horn's gradient of a texel; where neighbours are missing the window is completed, so that no rim stays blank.
fn texel_gradient(lines: &[&[f32]; 3], column: usize, axes: Axes, side: usize) -> Option<Gradient> {
    let z: [f32; 9] = std::array::from_fn(|k| lines[k / 3][column + k % 3]);
    let mut window = z.map(f64::from);
    // A sum of finite heights is finite, and of any void is not.
    if !z.iter().sum::<f32>().is_finite() {
        window = completed(&window.map(|height| height.is_finite().then_some(height)))?;
    }
    let (per_column, per_row) = horn_of(&window);
    let Gradient { east, north } = axes.gradient(per_column, per_row);
    Some(Gradient { east: east / side as f64, north: north / side as f64 })
}

/// Mean slope of the looked-at cells of a block.
fn mean_slope(coarse: Coarse, column: usize, row: usize, axes: Axes) -> f64 {
    let (mut sum, mut count) = (0.0, 0);
    coarse.each_looked_at(column, row, |column, row| {
        if let Some((per_column, per_row)) = coarse.grid.horn_quick(column, row) {
            sum += axes.gradient(per_column, per_row).slope();
            count += 1;
        }
    });
    if count > 0 { sum / f64::from(count) } else { 0.0 }
}

/// Farm ground is gentle: light falls on it as if it were this much steeper.
const STEEPER: f64 = 1.6;
/// Relief fades as blocks grow, because their mean is calmer than the ground; each level is drawn this much steeper again.
const STEEPER_PER_LEVEL: f64 = 0.2;
/// Steps of light in the table of colours.
const LIGHTS: usize = 256;
/// Steps of height in it.
const TINTS: usize = 64;
/// How strongly the light models the paper of the slope classes, where 1 is the strength of the relief.
const LIGHT_ON_CLASSES: f32 = 0.45;

/// The main light and two weaker ones that open its shadows. Ours.
const LIGHTS_AND_SHARES: [(Sun, f64); 3] = [
    (Sun::NORTH_WEST, 0.62),
    (Sun { azimuth_deg: 270.0, height_deg: 50.0 }, 0.19),
    (Sun { azimuth_deg: 0.0, height_deg: 50.0 }, 0.19),
];

/// A style turned into a table: a colour for every step of light and paper.
struct Brush {
    lights: [(Light, f64); 3],
    papers: usize,
    by_slope: bool,
    low_m: f64,
    per_m: f64,
    table: Vec<[u8; 4]>,
}

impl Brush {
    fn new(style: &ShadeStyle) -> Self {
        let (tones, papers, strength, low_m, high_m) = match style {
            ShadeStyle::Relief { paper, tint: Tint::Plain } => {
                let tones = tones(paper);
                let papers = vec![tones.paper];
                (tones, papers, 1.0, 0.0, 1.0)
            }
            ShadeStyle::Relief { paper, tint: Tint::Heights { low_m, high_m } } => {
                let tones = tones(paper);
                let papers = (0..TINTS).map(|k| tinted(&tones, k as f32 / (TINTS - 1) as f32)).collect();
                (tones, papers, 1.0, *low_m, *high_m)
            }
            ShadeStyle::Slope { paper } => {
                let tones = tones(paper);
                let papers = tones.slopes.to_vec();
                (tones, papers, LIGHT_ON_CLASSES, 0.0, 1.0)
            }
        };
        let level_light = LIGHTS_AND_SHARES.iter().map(|(sun, share)| share * sun.factors().level).sum::<f64>() as f32;
        let table = papers
            .iter()
            .flat_map(|paper| {
                (0..LIGHTS).map(|k| modelled(&tones, *paper, k as f32 / (LIGHTS - 1) as f32, level_light, strength))
            })
            .collect();
        Self {
            lights: LIGHTS_AND_SHARES.map(|(sun, share)| (sun.factors(), share)),
            papers: papers.len(),
            by_slope: matches!(style, ShadeStyle::Slope { .. }),
            low_m,
            per_m: (papers.len() - 1) as f64 / (high_m - low_m).max(1e-3),
            table,
        }
    }

    fn texel(&self, ground: Gradient, slope: f64, height_m: f32, level: u8) -> [u8; 4] {
        let steeper = STEEPER + STEEPER_PER_LEVEL * f64::from(level);
        let (p, q) = (ground.east * steeper, ground.north * steeper);
        let per_length = 1.0 / (1.0 + p * p + q * q).sqrt();
        let dots = self.lights.iter().map(|(light, share)| share * (light.level - light.east * p - light.north * q).max(0.0));
        let light = dots.sum::<f64>() * per_length;
        let paper = if self.by_slope {
            SLOPE_CLASSES_PCT.iter().filter(|upper| 100.0 * slope >= **upper).count()
        } else {
            ((f64::from(height_m) - self.low_m) * self.per_m) as usize
        };
        self.table[paper.min(self.papers - 1) * LIGHTS + ((light * (LIGHTS - 1) as f64) as usize).min(LIGHTS - 1)]
    }
}

/// The paper of a height, as a share of the way from the lowest to the highest.
fn tinted(tones: &Tones, share: f32) -> Colour {
    if share < 0.5 { mix(tones.low, tones.middle, 2.0 * share) } else { mix(tones.middle, tones.high, 2.0 * share - 1.0) }
}

/// A paper under a light: level ground keeps its colour, the rest goes as far towards shadow or light as the plain paper
/// would, so that a tint never changes how relief reads.
fn modelled(tones: &Tones, paper: Colour, light: f32, level_light: f32, strength: f32) -> [u8; 4] {
    let (towards, share) = if light < level_light {
        (tones.shadow, 1.0 - light / level_light)
    } else {
        (tones.light, (light - level_light) / (1.0 - level_light))
    };
    let shift = mix(tones.paper, towards, share.powf(0.85) * strength);
    let channel = |k: usize| (paper[k] + shift[k] - tones.paper[k]).round().clamp(0.0, 255.0) as u8;
    [channel(0), channel(1), channel(2), 255]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, plane};
    use crate::land::hillshade;

    const RELIEF: ShadeStyle = ShadeStyle::Relief { paper: Paper::Light, tint: Tint::Plain };
    const SLOPE: ShadeStyle = ShadeStyle::Slope { paper: Paper::Light };

    fn texel(tile: &ShadeTile, column: usize, row: usize) -> [u8; 4] {
        std::array::from_fn(|k| tile.rgba[4 * (row * tile.columns + column) + k])
    }

    fn rounded(colour: Colour) -> [u8; 4] {
        [colour[0] as u8, colour[1] as u8, colour[2] as u8, 255]
    }

    #[test]
    fn tiles_cover_the_grid_and_nothing_else() {
        let ground = grid(1300, 600, 1.0, vec![5.0; 1300 * 600]);
        for (level, tiles, last_size) in
            [(0, (3, 2), (276, 88)), (1, (2, 1), (138, 300)), (2, (1, 1), (325, 150)), (9, (1, 1), (3, 2))]
        {
            assert_eq!(shade_tiles(&ground, level), tiles);
            let last = shade_tile(&ground, level, tiles.0 - 1, tiles.1 - 1, &RELIEF).expect("the last tile");
            assert_eq!((last.columns, last.rows), last_size, "level {level}");
            assert_eq!(last.rgba.len(), 4 * last.columns * last.rows);
            assert!(last.rgba.chunks(4).all(|texel| texel == rounded(LIGHT.paper)), "level ground is plain paper");
            let side = f64::from(1 << level);
            assert!(last.cells.right >= 1299.5 && last.cells.right < 1299.5 + side, "{:?}", last.cells);
            assert!((last.cells.right - last.cells.left - side * last.columns as f64).abs() < 1e-9);
            assert_eq!(shade_tile(&ground, level, tiles.0, 0, &RELIEF), None);
            assert_eq!(shade_tile(&ground, level, 0, usize::MAX, &RELIEF), None);
        }
        assert_eq!(level_of_one_tile(&ground), 2);
    }

    #[test]
    fn ground_turned_to_the_north_west_is_lighter_than_ground_turned_away() {
        for paper in [Paper::Light, Paper::Dark] {
            let style = ShadeStyle::Relief { paper, tint: Tint::Plain };
            let brightness = |east: f64, north: f64| {
                let tile = shade_tile(&plane(5, 5, 1.0, east, north), 0, 0, 0, &style).expect("one tile");
                // Up to the rim the plane is the same everywhere.
                assert_eq!(texel(&tile, 0, 0), texel(&tile, 2, 2));
                texel(&tile, 2, 2)[1]
            };
            assert!(brightness(0.3, -0.3) > brightness(0.0, 0.0) && brightness(0.0, 0.0) > brightness(-0.3, 0.3));
        }
    }

    #[test]
    fn slope_classes_begin_at_their_limits_at_every_level() {
        for level in [0, 1, 3] {
            let mut papers = vec![];
            for slope in [0.02, 0.119, 0.121, 0.199, 0.201, 0.249, 0.251, 0.399, 0.401, 0.599, 0.601, 2.0] {
                // Rising to the east and falling to the north by as much, in the light of the three suns.
                let ground = plane(64, 64, 1.0, slope / 2.0_f64.sqrt(), -slope / 2.0_f64.sqrt());
                let tile = shade_tile(&ground, level, 0, 0, &SLOPE).expect("one tile");
                papers.push(texel(&tile, 3, 3));
            }
            for pair in papers[1..].chunks(2).filter(|pair| pair.len() == 2) {
                assert!(pair[0][2] > pair[1][2] + 12, "level {level}: two classes in one paper: {papers:?}");
            }
        }
    }

    #[test]
    fn void_cells_are_left_out_and_their_neighbours_are_not() {
        let mut holed = plane(8, 8, 1.0, 0.2, 0.1);
        holed.heights_m[3 * 8 + 4] = f32::NAN;
        let tile = shade_tile(&holed, 0, 0, 0, &RELIEF).expect("one tile");
        for row in 0..8 {
            for column in 0..8 {
                let opacity = texel(&tile, column, row)[3];
                assert_eq!(opacity, if (column, row) == (4, 3) { 0 } else { 255 }, "{column} {row}");
            }
        }
        assert_eq!(texel(&tile, 4, 3), [0; 4]);
    }

    #[test]
    fn heights_are_tinted_from_the_lowest_to_the_highest() {
        let style = ShadeStyle::Relief { paper: Paper::Light, tint: Tint::Heights { low_m: 100.0, high_m: 300.0 } };
        for (height, expected) in [(50.0, LIGHT.low), (100.0, LIGHT.low), (300.0, LIGHT.high), (999.0, LIGHT.high)] {
            let tile = shade_tile(&grid(3, 3, 1.0, vec![height; 9]), 0, 0, 0, &style).expect("one tile");
            assert_eq!(texel(&tile, 1, 1), rounded(expected), "{height}");
        }
    }

    #[test]
    fn the_light_on_a_slope_is_the_dot_product_with_its_normal() {
        let tile = |east, north| hillshade(Gradient { east, north }, Sun::NORTH_WEST);
        assert!((tile(0.0, 0.0) - 0.5_f64.sqrt()).abs() < 1e-12);
        // Facing the sun squarely, and turned right away from it.
        assert!((tile(0.5_f64.sqrt(), -0.5_f64.sqrt()) - 1.0).abs() < 1e-12);
        assert!(tile(-3.0, 3.0).abs() < 1e-12);
    }
}
