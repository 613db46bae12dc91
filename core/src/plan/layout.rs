//! Layouts that the keeper set aside under a name, to be held against the one that is drawn.

use super::{Edit, Feature, FeatureId, FreshIds, Head, Kind, Plan};
use serde_json::{Map, Value};
use std::collections::HashSet;
use std::sync::Arc;

/// What is laid out under a name: the fences and all that belongs to them, as they were when they were set aside.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layout {
    /// Its name; no two layouts of a plan share one.
    pub name: String,
    /// What is laid out.
    pub features: Vec<Arc<Feature>>,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

impl Kind {
    /// Whether it is laid out by the keeper and so differs from layout to layout. The ground, what stands on it, and the log are what they are.
    pub fn is_laid_out(&self) -> bool {
        match self {
            Self::Fence(_)
            | Self::LeadOut(_)
            | Self::Gate(_)
            | Self::Energizer { .. }
            | Self::Earth { .. }
            | Self::Cutout { .. }
            | Self::Jumper(_)
            | Self::Paddock(_)
            | Self::Water
            | Self::Shelter
            | Self::Feed => true,
            Self::Track(_)
            | Self::PublicWay { .. }
            | Self::OverheadLine { .. }
            | Self::Stream { .. }
            | Self::Boundary { .. }
            | Self::Building { .. }
            | Self::Zone(_)
            | Self::SpotHeight { .. }
            | Self::Reading(_)
            | Self::Fault(_)
            | Self::Photo(_)
            | Self::Tree { .. }
            | Self::Mark
            | Self::Other(_) => false,
        }
    }
}

impl Plan {
    /// The layout of this name.
    pub fn layout(&self, name: &str) -> Option<&Layout> {
        self.head.layouts.iter().find(|layout| layout.name == name)
    }

    /// What is laid out now, under a name.
    fn laid_out(&self, name: &str) -> Layout {
        let features = self.features.iter().filter(|feature| feature.kind.is_laid_out()).cloned().collect();
        Layout { name: name.to_owned(), features, foreign: Map::new() }
    }

    /// The plan as it would be with another layout; `None` when there is none of this name.
    pub fn with_layout(&self, name: &str) -> Option<Self> {
        let features = self.features.iter().filter(|feature| !feature.kind.is_laid_out()).cloned().chain(self.placed(name)?);
        Some(Self { features: features.collect(), ..self.clone() })
    }

    /// The features of a layout, with ids that nothing else in the plan has taken meanwhile.
    fn placed(&self, name: &str) -> Option<Vec<Arc<Feature>>> {
        let layout = self.layout(name)?;
        let stays = self.features.iter().filter(|feature| !feature.kind.is_laid_out());
        let taken: HashSet<&FeatureId> = stays.map(|feature| &feature.id).collect();
        let own: HashSet<&FeatureId> = layout.features.iter().map(|feature| &feature.id).collect();
        let mut given = HashSet::new();
        let place = |feature: &Arc<Feature>| {
            if !taken.contains(&feature.id) {
                return Arc::clone(feature);
            }
            let is_taken = |id: &FeatureId| taken.contains(id) || own.contains(id) || given.contains(id);
            let mut moved = (**feature).clone();
            moved.id = FreshIds::new(feature.kind.word().unwrap_or("feature")).next(is_taken);
            given.insert(moved.id.clone());
            Arc::new(moved)
        };
        Some(layout.features.iter().map(place).collect())
    }

    /// Sets what is laid out now aside under a name; what had that name before is replaced.
    pub fn set_layout_aside(&self, name: &str) -> Edit {
        let mut head = (*self.head).clone();
        keep(&mut head, self.laid_out(name));
        Edit::SetHead(Box::new(head))
    }

    /// Forgets the layout of this name.
    pub fn forget_layout(&self, name: &str) -> Edit {
        let mut head = (*self.head).clone();
        head.layouts.retain(|layout| layout.name != name);
        Edit::SetHead(Box::new(head))
    }

    /// Puts another layout in the place of what is laid out now, which is set aside under a name of its own. Empty when there is no such layout.
    pub fn take_layout(&self, name: &str, set_aside_as: &str) -> Vec<Edit> {
        let Some(placed) = self.placed(name) else { return Vec::new() };
        let mut head = (*self.head).clone();
        head.layouts.retain(|layout| layout.name != name);
        keep(&mut head, self.laid_out(set_aside_as));
        let gone = self.features.iter().filter(|feature| feature.kind.is_laid_out());
        let gone = gone.map(|feature| Edit::Remove(feature.id.clone()));
        let come = placed.into_iter().map(|feature| Edit::Add(Box::new((*feature).clone())));
        gone.chain(come).chain([Edit::SetHead(Box::new(head))]).collect()
    }
}

fn keep(head: &mut Head, layout: Layout) {
    match head.layouts.iter_mut().find(|kept| kept.name == layout.name) {
        Some(kept) => *kept = layout,
        None => head.layouts.push(layout),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::Position;
    use crate::plan::{Fence, Geometry, Track};

    fn at(lon: f64) -> Position {
        Position::from_degrees(lon, 50.0)
    }

    fn feature(id: &str, kind: Kind, lon: f64) -> Feature {
        Feature::new(FeatureId::new(id), kind, Geometry::Line(vec![at(lon), at(lon + 0.001)]))
    }

    fn applied(plan: &Plan, edits: &[Edit]) -> Plan {
        edits.iter().fold(plan.clone(), |plan, edit| edit.apply(&plan).expect("applies"))
    }

    fn ids(plan: &Plan) -> Vec<&str> {
        plan.features.iter().map(|feature| feature.id.as_str()).collect()
    }

    #[test]
    fn taking_a_layout_changes_the_fences_and_leaves_the_ground() {
        let fence = || Kind::Fence(Fence::default());
        let plan =
            Plan::new(Head::default(), vec![feature("a", fence(), 0.0), feature("track", Kind::Track(Track::default()), 0.1)]);
        let plan = applied(&plan, &[plan.set_layout_aside("straight")]);
        let plan = applied(&plan, &[Edit::Remove(FeatureId::new("a")), Edit::Add(Box::new(feature("b", fence(), 0.2)))]);
        assert_eq!(ids(&plan), ["track", "b"]);
        assert_eq!(plan.with_layout("straight").as_ref().map(ids), Some(vec!["track", "a"]));
        let taken = applied(&plan, &plan.take_layout("straight", "round the hill"));
        assert_eq!(ids(&taken), ["track", "a"]);
        let back = applied(&taken, &taken.take_layout("round the hill", "straight"));
        assert_eq!(back.features, plan.features);
        assert_eq!(back.head, plan.head);
        assert!(plan.take_layout("nowhere", "x").is_empty());
        assert_eq!(applied(&plan, &[plan.forget_layout("straight")]).head.layouts, Vec::new());
    }

    #[test]
    fn an_id_that_was_taken_meanwhile_is_not_there_twice() {
        let plan = Plan::new(Head::default(), vec![feature("a", Kind::Fence(Fence::default()), 0.0)]);
        let plan = applied(&plan, &[plan.set_layout_aside("straight"), Edit::Remove(FeatureId::new("a"))]);
        let plan = applied(&plan, &[Edit::Add(Box::new(feature("a", Kind::Mark, 0.1)))]);
        let taken = applied(&plan, &plan.take_layout("straight", "empty"));
        assert_eq!(ids(&taken), ["a", "fence-1"]);
    }
}
