//! Features on the map: their corners in metres of the working frame, kept while the feature stays the same.

use hillwire_core::land::{Frame, MapPoint, MapRect, Position};
use hillwire_core::plan::{Feature, FeatureId, Geometry, Plan};
use std::collections::HashMap;
use std::sync::Arc;

/// One feature on the map.
#[derive(Clone, Debug)]
pub struct Shape {
    /// The feature.
    pub feature: Arc<Feature>,
    /// Its corners: one ring or line after another; a point is one line of one corner.
    pub rings: Vec<Vec<MapPoint>>,
    /// The rectangle around it.
    pub extent: Option<MapRect>,
}

impl Shape {
    /// All its corners.
    pub fn corners(&self) -> impl Iterator<Item = MapPoint> + '_ {
        self.rings.iter().flatten().copied()
    }
    /// The corners of a line, or the outer ring of an area; empty when there is nothing to draw.
    pub fn first_ring(&self) -> &[MapPoint] {
        self.rings.first().map_or(&[], Vec::as_slice)
    }
    /// Where a point feature stands.
    pub fn point(&self) -> Option<MapPoint> {
        matches!(self.feature.geometry, Geometry::Point(_)).then(|| self.first_ring().first().copied()).flatten()
    }
}

/// All features on the map, in plan order.
#[derive(Default)]
pub struct Shapes {
    shapes: Vec<Shape>,
    frame: Option<Frame>,
}

impl Shapes {
    /// Makes the shapes those of `plan`; features that did not change keep theirs.
    pub fn follow(&mut self, plan: &Plan, frame: Frame) {
        let same_frame = self.frame == Some(frame);
        let same = same_frame
            && self.shapes.len() == plan.features.len()
            && self.shapes.iter().zip(&plan.features).all(|(shape, feature)| Arc::ptr_eq(&shape.feature, feature));
        if same {
            return;
        }
        let mut kept: HashMap<*const Feature, Shape> = HashMap::new();
        if same_frame {
            kept.extend(self.shapes.drain(..).map(|shape| (Arc::as_ptr(&shape.feature), shape)));
        }
        self.frame = Some(frame);
        let make = |feature: &Arc<Feature>| kept.remove(&Arc::as_ptr(feature)).unwrap_or_else(|| shape_of(feature, frame));
        self.shapes = plan.features.iter().map(make).collect();
    }

    /// All of them.
    pub fn all(&self) -> impl DoubleEndedIterator<Item = &Shape> {
        self.shapes.iter()
    }

    /// The one of a feature.
    pub fn of(&self, id: &FeatureId) -> Option<&Shape> {
        self.shapes.iter().find(|shape| shape.feature.id == *id)
    }
}

fn shape_of(feature: &Arc<Feature>, frame: Frame) -> Shape {
    // What lies too far away to be drawn is named where the plan is opened; here it has no shape.
    let ring = |corners: &[Position]| corners.iter().map(|&at| frame.to_map(at)).collect::<Result<Vec<_>, _>>();
    let rings = match &feature.geometry {
        Geometry::Point(at) => ring(&[*at]).map(|ring| vec![ring]),
        Geometry::Line(corners) => ring(corners).map(|ring| vec![ring]),
        Geometry::Area(rings) => rings.iter().map(|corners| ring(corners)).collect(),
        Geometry::Other(_) => Ok(Vec::new()),
    }
    .unwrap_or_default();
    let extent = MapRect::around(rings.iter().flatten().copied());
    Shape { feature: Arc::clone(feature), rings, extent }
}
