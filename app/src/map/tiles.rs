//! Shaded ground and air photos as textures: which tiles the view needs, which are there, which to ask for.

use super::view::View;
use crate::worker::Arrived;
use egui::{Color32, ColorImage, Mesh, Pos2, Rect, Shape, TextureHandle, TextureOptions, pos2};
use hillwire_core::land::{
    AirPhoto, CellRect, Ground, MapPoint, MapRect, Paper, Placement, ShadeStyle, ShadeTile, TILE_SIDE, Tint, shade_tile,
};
use std::collections::HashMap;
use std::sync::Arc;

/// What a tile shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Look {
    /// The relief of the ground.
    Relief(Paper),
    /// Its slope in classes.
    Slope(Paper),
    /// An air photo.
    Photo,
}

/// Names a tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct TileKey {
    /// Which ground, or which air photos, it belongs to.
    pub generation: u64,
    /// Which grid of the ground, the finest is 0; which photo.
    pub layer: usize,
    /// Every 2^level-th cell.
    pub level: u8,
    /// Column of the tile.
    pub column: usize,
    /// Row of the tile.
    pub row: usize,
    /// What it shows.
    pub look: Look,
}

/// What tiles are made from.
#[derive(Clone)]
pub enum Source {
    /// Ground, with its lowest and highest height for the tint.
    Ground(Arc<Ground>, (f64, f64)),
    /// An air photo.
    Photo(Arc<AirPhoto>),
}

/// A tile to be made.
pub struct TileRequest {
    /// Its name.
    pub key: TileKey,
    /// What from.
    pub source: Source,
}

impl TileRequest {
    /// Makes it.
    pub fn shade(&self) -> Arrived {
        let TileKey { level, column, row, .. } = self.key;
        let tile = match &self.source {
            Source::Photo(photo) => photo.tile(level, column, row),
            Source::Ground(ground, (low_m, high_m)) => {
                let layer = ground.layers().nth(self.key.layer);
                layer.and_then(|layer| shade_tile(layer.grid(), level, column, row, &style(self.key.look, *low_m, *high_m)))
            }
        };
        Arrived::Tile(self.key, tile)
    }
}

/// The style of shaded ground; heights are tinted over the relief of the whole grid.
fn style(look: Look, low_m: f64, high_m: f64) -> ShadeStyle {
    match look {
        Look::Slope(paper) => ShadeStyle::Slope { paper },
        Look::Relief(paper) => ShadeStyle::Relief { paper, tint: Tint::Heights { low_m, high_m } },
        Look::Photo => ShadeStyle::Relief { paper: Paper::Light, tint: Tint::Plain },
    }
}

/// Tiles kept as textures: 1 MB each at most.
const KEPT: usize = 120;
/// Tiles given to the graphics card per frame: more would make the frame stutter.
const UPLOADS_PER_FRAME: usize = 4;

struct Painted {
    texture: TextureHandle,
    cells: CellRect,
}

struct Kept {
    texture: Option<Painted>,
    last_drawn: u64,
}

/// The tiles of a map pane.
#[derive(Default)]
pub struct Tiles {
    kept: HashMap<TileKey, Kept>,
    waiting: Vec<(TileKey, Option<ShadeTile>)>,
    asked: Vec<TileKey>,
    frame: u64,
}

impl Tiles {
    /// Takes shaded tiles in.
    pub fn take(&mut self, arrived: impl IntoIterator<Item = (TileKey, Option<ShadeTile>)>) {
        self.waiting.extend(arrived);
    }

    /// Whether nothing is on its way.
    pub fn is_settled(&self) -> bool {
        self.waiting.is_empty() && self.asked.is_empty()
    }

    /// Draws what is there, the first layer lowest, and returns what is missing, the coarsest first.
    pub fn draw(&mut self, painter: &egui::Painter, scene: &Scene<'_>) -> Vec<TileRequest> {
        self.frame += 1;
        self.upload(painter.ctx(), scene);
        let mut missing = Vec::new();
        scene.layers.iter().for_each(|layer| self.draw_layer(painter, scene, layer, &mut missing));
        self.forget();
        if missing == self.asked {
            return Vec::new();
        }
        self.asked.clone_from(&missing);
        let source = |key: &TileKey| {
            let layer = scene.layers.iter().find(|layer| layer.owns(key))?;
            Some(TileRequest { key: *key, source: layer.source.clone() })
        };
        missing.iter().filter_map(source).collect()
    }

    /// Each place is covered by one tile only, the finest there is: a photo may let the ground shine through.
    fn draw_layer(&mut self, painter: &egui::Painter, scene: &Scene<'_>, layer: &Layer<'_>, missing: &mut Vec<TileKey>) {
        let wanted = scene.level(layer.placement, painter.ctx().pixels_per_point());
        let top = level_of_one_tile(layer.placement);
        let key = |level: u8, column, row| TileKey {
            generation: layer.generation,
            layer: layer.index,
            level,
            column,
            row,
            look: layer.look,
        };
        let mut want = |tiles: &Self, key: TileKey| {
            if !tiles.kept.contains_key(&key) && !tiles.waiting.iter().any(|(waiting, _)| *waiting == key) {
                missing.push(key);
            }
        };
        want(self, key(top, 0, 0));
        for (column, row) in scene.tiles_shown(layer.placement, wanted) {
            if wanted < top {
                want(self, key(wanted, column, row));
            }
            let part = cells_of(wanted, column, row);
            for level in wanted..=top {
                let coarser = key(level, column >> (level - wanted), row >> (level - wanted));
                let Some(kept) = self.kept.get_mut(&coarser) else { continue };
                kept.last_drawn = self.frame;
                if let Some(texture) = &kept.texture {
                    painter.add(scene.quad(layer, texture, part));
                }
                break;
            }
        }
    }

    fn upload(&mut self, ctx: &egui::Context, scene: &Scene<'_>) {
        let is_photo = |look| look == Look::Photo;
        let is_current = |key: &TileKey| {
            let of = |layer: &Layer<'_>| layer.generation == key.generation && is_photo(layer.look) == is_photo(key.look);
            scene.layers.iter().any(of)
        };
        self.waiting.retain(|(key, _)| is_current(key));
        self.kept.retain(|key, _| is_current(key));
        let now = self.waiting.len().min(UPLOADS_PER_FRAME);
        for (key, tile) in self.waiting.drain(..now) {
            self.asked.retain(|asked| *asked != key);
            let texture = tile.map(|tile| {
                let image = ColorImage::from_rgba_unmultiplied([tile.columns, tile.rows], &tile.rgba);
                Painted { texture: ctx.load_texture("ground", image, TextureOptions::LINEAR), cells: tile.cells }
            });
            self.kept.insert(key, Kept { texture, last_drawn: self.frame });
        }
        if !self.waiting.is_empty() {
            ctx.request_repaint();
        }
    }

    fn forget(&mut self) {
        if self.kept.len() > KEPT {
            let mut ages: Vec<u64> = self.kept.values().map(|kept| kept.last_drawn).collect();
            ages.sort_unstable();
            let oldest_kept = ages[ages.len() - KEPT];
            self.kept.retain(|_, kept| kept.last_drawn >= oldest_kept);
        }
    }
}

/// Something that is drawn as tiles.
pub struct Layer<'a> {
    /// Its number among those of its kind.
    pub index: usize,
    /// Its generation.
    pub generation: u64,
    /// What it shows.
    pub look: Look,
    /// Where its cells lie.
    pub placement: &'a Placement,
    /// What its tiles are made from.
    pub source: Source,
    /// How much it covers what lies below.
    pub opacity: f32,
}

impl Layer<'_> {
    fn owns(&self, key: &TileKey) -> bool {
        (self.index, self.generation, self.look) == (key.layer, key.generation, key.look)
    }
}

/// What the map shows of the ground now.
pub struct Scene<'a> {
    /// What is drawn, the lowest first.
    pub layers: Vec<Layer<'a>>,
    /// From where.
    pub view: View,
    /// Into which pane.
    pub pane: Rect,
}

/// The finest level at which all cells are in one tile.
fn level_of_one_tile(placement: &Placement) -> u8 {
    let (columns, rows) = placement.size();
    (0..15).find(|level| columns.max(rows) <= TILE_SIDE << level).unwrap_or(15)
}

/// The cells that a tile stands for.
fn cells_of(level: u8, column: usize, row: usize) -> CellRect {
    let edge = |tile: usize| (tile * (TILE_SIDE << level)) as f64 - 0.5;
    CellRect { left: edge(column), top: edge(row), right: edge(column + 1), bottom: edge(row + 1) }
}

impl Scene<'_> {
    /// The level at which a cell is about a pixel.
    fn level(&self, placement: &Placement, pixels_per_point: f32) -> u8 {
        let metres_per_pixel = self.view.metres_per_point / f64::from(pixels_per_point);
        let cells_per_pixel = metres_per_pixel / placement.cell().as_metres();
        (cells_per_pixel.max(1.0).log2().floor() as u8).min(level_of_one_tile(placement))
    }

    fn tiles_shown(&self, placement: &Placement, level: u8) -> Vec<(usize, usize)> {
        let MapRect { min, max } = self.view.shown(self.pane);
        let corners = [min, max, MapPoint::new(min.x_m, max.y_m), MapPoint::new(max.x_m, min.y_m)];
        let cells: Vec<(f64, f64)> = corners.iter().map(|&corner| placement.to_cells(corner)).collect();
        let size = (TILE_SIDE << level) as f64;
        let range = |pick: fn(&(f64, f64)) -> f64, count: usize| {
            let low = cells.iter().map(pick).fold(f64::INFINITY, f64::min);
            let high = cells.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
            let last = ((count.max(1) - 1) as f64 / size).floor();
            if high < -0.5 || low > count as f64 {
                return 1..1;
            }
            ((low / size).floor().clamp(0.0, last) as usize)..((high / size).floor().clamp(0.0, last) as usize + 1)
        };
        let (columns, rows) = placement.size();
        let (columns, rows) = (range(|cell| cell.0, columns), range(|cell| cell.1, rows));
        rows.flat_map(|row| columns.clone().map(move |column| (column, row))).collect()
    }

    /// A part of a tile's texture laid over its cells: a mesh of 4 x 4 pieces, since the cells may stand at a slight angle and curve.
    fn quad(&self, layer: &Layer<'_>, texture: &Painted, part: CellRect) -> Shape {
        const PIECES: usize = 4;
        let whole = texture.cells;
        let (left, right) = (part.left.max(whole.left), part.right.min(whole.right));
        let (top, bottom) = (part.top.max(whole.top), part.bottom.min(whole.bottom));
        let corner = |i: usize, j: usize| -> (Pos2, Pos2) {
            let column = left + i as f64 / PIECES as f64 * (right - left);
            let row = top + j as f64 / PIECES as f64 * (bottom - top);
            let (u, v) = ((column - whole.left) / (whole.right - whole.left), (row - whole.top) / (whole.bottom - whole.top));
            (self.view.at_screen(self.pane, layer.placement.to_map(column, row)), pos2(u as f32, v as f32))
        };
        let color = Color32::WHITE.gamma_multiply(layer.opacity);
        let mut mesh = Mesh::with_texture(texture.texture.id());
        for j in 0..=PIECES {
            for i in 0..=PIECES {
                let (pos, uv) = corner(i, j);
                mesh.vertices.push(egui::epaint::Vertex { pos, uv, color });
            }
        }
        let index = |i: usize, j: usize| (j * (PIECES + 1) + i) as u32;
        for j in 0..PIECES {
            for i in 0..PIECES {
                mesh.add_triangle(index(i, j), index(i + 1, j), index(i, j + 1));
                mesh.add_triangle(index(i + 1, j), index(i + 1, j + 1), index(i, j + 1));
            }
        }
        Shape::mesh(mesh)
    }
}
