//! Layouts that were set aside, as they stand in the file: each feature on a line of its own.

use super::form::{FieldReader, FieldWriter, Fields, Form, Name, elements_within};
use super::node::Node;
use super::read_standing_feature;
use super::trouble::Trouble;
use crate::bounds::{FEATURES, LAYOUTS};
use crate::plan::file::feature::write_feature;
use crate::plan::{Feature, Layout};
use std::collections::HashSet;
use std::sync::Arc;

/// All layouts.
pub(super) struct Layouts;
/// Features of one of them.
struct Laid;

fn fields(layout: &mut Layout, to: &mut impl Fields) {
    to.required("name", &mut layout.name, &Name);
    to.required("features", &mut layout.features, &Laid);
}

fn read_layout(node: Node<'_>) -> Result<Layout, Trouble> {
    let mut layout = Layout::default();
    let mut reader = FieldReader::new(node.members()?);
    fields(&mut layout, &mut reader);
    layout.foreign = reader.finish()?.rest()?;
    Ok(layout)
}

fn write_layout(layout: &Layout) -> String {
    let mut writer = FieldWriter::default();
    fields(&mut layout.clone(), &mut writer);
    writer.members(&layout.foreign);
    writer.into_object()
}

impl Form<Vec<Layout>> for Layouts {
    fn read(&self, node: Node<'_>) -> Result<Vec<Layout>, Trouble> {
        let mut layouts: Vec<Layout> = Vec::new();
        for (index, element) in elements_within(node, LAYOUTS)?.into_iter().enumerate() {
            let at = |trouble: Trouble| trouble.under(format!("[{index}]"));
            let layout = read_layout(element).map_err(at)?;
            if layouts.iter().any(|other| other.name == layout.name) {
                let found = format!("a second {}", super::form::quoted(&layout.name));
                return Err(at(element.trouble_found(found, "a name of its own").under("name")));
            }
            layouts.push(layout);
        }
        Ok(layouts)
    }
    fn write(&self, value: &Vec<Layout>) -> String {
        let rows: Vec<String> = value.iter().map(|layout| format!("\n   {}", write_layout(layout))).collect();
        format!("[{}]", rows.join(","))
    }
    fn allowed(&self) -> String {
        "a list [...]".to_owned()
    }
}

impl Form<Vec<Arc<Feature>>> for Laid {
    fn read(&self, node: Node<'_>) -> Result<Vec<Arc<Feature>>, Trouble> {
        let mut features: Vec<Arc<Feature>> = Vec::new();
        let mut ids = HashSet::new();
        for (index, element) in elements_within(node, FEATURES)?.into_iter().enumerate() {
            let at = |trouble: Trouble| trouble.under(format!("[{index}]"));
            let feature = read_standing_feature(element).map_err(at)?;
            if !ids.insert(feature.id.clone()) {
                return Err(at(element.trouble_found(format!("a second {}", feature.id), "an id of its own").under("id")));
            }
            features.push(Arc::new(feature));
        }
        Ok(features)
    }
    fn write(&self, value: &Vec<Arc<Feature>>) -> String {
        let rows: Vec<String> = value.iter().map(|feature| format!("\n     {}", write_feature(feature))).collect();
        format!("[{}]", rows.join(","))
    }
    fn allowed(&self) -> String {
        "a list of features".to_owned()
    }
}
