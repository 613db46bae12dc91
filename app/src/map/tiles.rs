//! Shaded ground as textures: which tiles the view needs, which are there, which to ask for.

use super::view::View;
use crate::worker::Arrived;
use egui::{Color32, ColorImage, Mesh, Pos2, Rect, Shape, TextureHandle, TextureOptions, pos2};
use hillwire_core::land::{
    CellRect, Ground, MapPoint, MapRect, Paper, ShadeStyle, ShadeTile, TILE_SIDE, Tint, level_of_one_tile, shade_tile,
};
use std::collections::HashMap;
use std::sync::Arc;

/// What the ground is shaded with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Look {
    /// Its relief.
    Relief(Paper),
    /// Its slope in classes.
    Slope(Paper),
}

impl Look {
    /// The style; heights are tinted over the relief of the whole grid.
    fn style(self, low_m: f64, high_m: f64) -> ShadeStyle {
        match self {
            Self::Relief(paper) => ShadeStyle::Relief { paper, tint: Tint::Heights { low_m, high_m } },
            Self::Slope(paper) => ShadeStyle::Slope { paper },
        }
    }
}

/// Names a tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct TileKey {
    /// Which ground it belongs to.
    pub generation: u64,
    /// Which of its grids, the finest is 0.
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

/// A tile to be shaded.
pub struct TileRequest {
    /// Its name.
    pub key: TileKey,
    /// Lowest and highest ground, for the tint.
    pub heights_m: (f64, f64),
    /// The ground.
    pub ground: Arc<Ground>,
}

impl TileRequest {
    /// Shades it.
    pub fn shade(&self) -> Arrived {
        let key = self.key;
        let style = key.look.style(self.heights_m.0, self.heights_m.1);
        let layer = self.ground.layers().nth(key.layer);
        Arrived::Tile(key, layer.and_then(|layer| shade_tile(layer.grid(), key.level, key.column, key.row, &style)))
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

    /// Draws what is there, and returns what is missing, the coarsest first.
    pub fn draw(&mut self, painter: &egui::Painter, scene: &Scene<'_>) -> Vec<TileRequest> {
        self.frame += 1;
        self.upload(painter.ctx(), scene.generation);
        let mut missing = Vec::new();
        let layers: Vec<&Ground> = scene.ground.layers().collect();
        for (layer, ground) in layers.into_iter().enumerate().rev() {
            self.draw_layer(painter, scene, (layer, ground), &mut missing);
        }
        self.forget();
        if missing == self.asked {
            return Vec::new();
        }
        self.asked.clone_from(&missing);
        missing.into_iter().map(|key| TileRequest { key, heights_m: scene.heights_m, ground: Arc::clone(scene.ground) }).collect()
    }

    fn draw_layer(
        &mut self,
        painter: &egui::Painter,
        scene: &Scene<'_>,
        (layer, ground): (usize, &Ground),
        missing: &mut Vec<TileKey>,
    ) {
        let wanted_level = scene.level(ground, painter.ctx().pixels_per_point());
        let top = level_of_one_tile(ground.grid());
        for level in (wanted_level..=top).rev() {
            let needed = level == top || level == wanted_level;
            for (column, row) in scene.tiles_shown(ground, level) {
                let key = TileKey { generation: scene.generation, layer, level, column, row, look: scene.look };
                if let Some(kept) = self.kept.get_mut(&key) {
                    kept.last_drawn = self.frame;
                    if let Some(texture) = &kept.texture {
                        painter.add(scene.quad(ground, texture));
                    }
                } else if needed && !self.waiting.iter().any(|(waiting, _)| *waiting == key) {
                    missing.push(key);
                }
            }
        }
    }

    fn upload(&mut self, ctx: &egui::Context, generation: u64) {
        self.waiting.retain(|(key, _)| key.generation == generation);
        self.kept.retain(|key, _| key.generation == generation);
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

/// What the map shows of the ground now.
pub struct Scene<'a> {
    /// The ground.
    pub ground: &'a Arc<Ground>,
    /// Its generation.
    pub generation: u64,
    /// How it is shaded.
    pub look: Look,
    /// Lowest and highest ground.
    pub heights_m: (f64, f64),
    /// From where.
    pub view: View,
    /// Into which pane.
    pub pane: Rect,
}

impl Scene<'_> {
    /// The level at which a cell of this grid is about a pixel.
    fn level(&self, ground: &Ground, pixels_per_point: f32) -> u8 {
        let metres_per_pixel = self.view.metres_per_point / f64::from(pixels_per_point);
        let cells_per_pixel = metres_per_pixel / ground.cell().as_metres();
        (cells_per_pixel.max(1.0).log2().floor() as u8).min(level_of_one_tile(ground.grid()))
    }

    fn tiles_shown(&self, ground: &Ground, level: u8) -> Vec<(usize, usize)> {
        let MapRect { min, max } = self.view.shown(self.pane);
        let corners = [min, max, MapPoint::new(min.x_m, max.y_m), MapPoint::new(max.x_m, min.y_m)];
        let cells: Vec<(f64, f64)> = corners.iter().map(|&corner| ground.to_cells(corner)).collect();
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
        let columns = range(|cell| cell.0, ground.grid().columns);
        let rows = range(|cell| cell.1, ground.grid().rows);
        rows.flat_map(|row| columns.clone().map(move |column| (column, row))).collect()
    }

    /// The tile's texture laid over its cells: a mesh of 4 x 4 pieces, since the grid may stand at a slight angle and curve.
    fn quad(&self, ground: &Ground, texture: &Painted) -> Shape {
        const PIECES: usize = 4;
        let (cells, texture) = (texture.cells, &texture.texture);
        let corner = |i: usize, j: usize| -> (Pos2, Pos2) {
            let (u, v) = (i as f64 / PIECES as f64, j as f64 / PIECES as f64);
            let at_map = ground.to_map(cells.left + u * (cells.right - cells.left), cells.top + v * (cells.bottom - cells.top));
            (self.view.at_screen(self.pane, at_map), pos2(u as f32, v as f32))
        };
        let mut mesh = Mesh::with_texture(texture.id());
        for j in 0..=PIECES {
            for i in 0..=PIECES {
                let (pos, uv) = corner(i, j);
                mesh.vertices.push(egui::epaint::Vertex { pos, uv, color: Color32::WHITE });
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
