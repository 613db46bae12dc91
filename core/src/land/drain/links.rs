//! The steps of water from cell to cell, as segments that a fence may cross.

use super::super::MapPoint;
use super::Drainage;
use crate::units::Area;
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree};

/// One step of water from the middle of a cell to the middle of the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Link {
    /// The cell it leaves.
    pub cell: usize,
    /// Where it begins.
    pub from: MapPoint,
    /// Where it ends.
    pub to: MapPoint,
    /// The ground that drains through it.
    pub upslope: Area,
    /// Whether that ground reaches the edge of what is known, so that more may come.
    pub from_beyond: bool,
}

/// Links by where they are.
#[derive(Clone, Debug, Default)]
pub struct Links {
    tree: RTree<GeomWithData<Line<[f64; 2]>, Link>>,
}

pub(super) fn links(drainage: &Drainage, least: Area) -> Links {
    let grid = &drainage.grid;
    let cells = (0..drainage.cells.len()).filter(|cell| drainage.upslope(*cell) >= least);
    let link = |cell: usize| {
        let (from, to) = (grid.centre_of(cell), grid.centre_of(drainage.downstream(cell)?));
        let link = Link { cell, from, to, upslope: drainage.upslope(cell), from_beyond: drainage.fed_from_beyond[cell] };
        Some(GeomWithData::new(Line::new([from.x_m, from.y_m], [to.x_m, to.y_m]), link))
    };
    Links { tree: RTree::bulk_load(cells.filter_map(link).collect()) }
}

impl Links {
    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &Link> {
        self.tree.iter().map(|entry| &entry.data)
    }

    /// The links that a straight piece crosses, each with how far along the piece, 0 to 1. Both are half open, so that where pieces or links
    /// join one crossing counts once.
    pub fn crossed(&self, from: MapPoint, to: MapPoint) -> Vec<(f64, Link)> {
        let envelope =
            AABB::from_corners([from.x_m.min(to.x_m), from.y_m.min(to.y_m)], [from.x_m.max(to.x_m), from.y_m.max(to.y_m)]);
        let near = self.tree.locate_in_envelope_intersecting(&envelope);
        let mut crossed: Vec<(f64, Link)> =
            near.filter_map(|entry| Some((crossing(from, to, entry.data.from, entry.data.to)?, entry.data))).collect();
        crossed.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cell.cmp(&other.1.cell)));
        crossed
    }

    /// The distance from a point to the nearest link, with that link.
    pub fn nearest(&self, at: MapPoint) -> Option<(f64, Link)> {
        use rstar::PointDistance;
        let point = [at.x_m, at.y_m];
        self.tree.nearest_neighbor(&point).map(|entry| (entry.geom().distance_2(&point).sqrt(), entry.data))
    }
}

/// How far along the first piece the second crosses it, 0 to 1, both half open; `None` where it does not.
pub(in super::super) fn crossing(from: MapPoint, to: MapPoint, other_from: MapPoint, other_to: MapPoint) -> Option<f64> {
    let (a, b, off) = (to - from, other_to - other_from, other_from - from);
    let turn = a.x_m * b.y_m - a.y_m * b.x_m;
    let along = (off.x_m * b.y_m - off.y_m * b.x_m) / turn;
    let across = (off.x_m * a.y_m - off.y_m * a.x_m) / turn;
    // Parallel pieces give no number and cross nowhere.
    ((0.0..1.0).contains(&along) && (0.0..1.0).contains(&across)).then_some(along)
}
