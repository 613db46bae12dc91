//! Features as they stand in the file.

use super::super::feature::{Feature, FeatureId, Geometry};
use super::super::kinds::Kind;
use super::form::{FieldReader, FieldWriter, quoted, text_within};
use super::node::{Members, Node};
use super::properties::{allowed_geometries, bare_kind, fields};
use super::shape::{read_shape, type_of, write_shape};
use super::trouble::Trouble;
use crate::bounds::{NAME_LETTERS, TEXT_LETTERS};

/// The id of a feature: text or a number (RFC 7946 3.2).
pub(super) fn read_id(node: Node<'_>) -> Result<FeatureId, Trouble> {
    if let Ok(number) = node.exact_number() {
        return Ok(FeatureId::from_number(&number));
    }
    match text_within(node, NAME_LETTERS) {
        Ok(text) if !text.is_empty() => Ok(FeatureId::new(&text)),
        Err(trouble) if node.text().is_ok() => Err(trouble),
        _ => Err(node.trouble("text in quotes or a number")),
    }
}

/// The id as it came; `None` when there is none.
pub(super) fn take_id(members: &mut Members<'_>) -> Result<Option<FeatureId>, Trouble> {
    members.take("id").map(read_id).transpose().map_err(|trouble| trouble.under("id"))
}

/// The id as JSON.
pub(super) fn write_id(id: &FeatureId) -> String {
    if id.is_numeric() { id.to_string() } else { quoted(id.as_str()) }
}

/// Checks that the object says it is a `word`.
pub(super) fn expect_type(members: &mut Members<'_>, word: &str) -> Result<(), Trouble> {
    let Some(node) = members.take("type") else {
        return Err(members.missing("type", quoted(word)));
    };
    if node.text().is_ok_and(|found| found == word) { Ok(()) } else { Err(node.trouble(quoted(word)).under("type")) }
}

/// A feature of a plan, all but its id, which was taken from the members.
pub(super) fn read_feature(mut members: Members<'_>, id: FeatureId) -> Result<Feature, Trouble> {
    expect_type(&mut members, "Feature")?;
    let geometry = members.take_even_null("geometry").ok_or_else(|| members.missing("geometry", "a GeoJSON geometry or null"))?;
    let mut feature = Feature::new(id, Kind::Other(None), Geometry::Other(serde_json::Value::Null));
    if let Some(properties) = members.take("properties") {
        read_properties(properties, &mut feature).map_err(|trouble| trouble.under("properties"))?;
    }
    check_type(geometry, &feature.kind).map_err(|trouble| trouble.under("geometry"))?;
    let shape = read_shape(geometry).map_err(|trouble| trouble.under("geometry"))?;
    (feature.geometry, feature.heights, feature.geometry_foreign) = (shape.geometry, shape.heights, shape.foreign);
    feature.foreign = members.rest()?;
    Ok(feature)
}

fn check_type(geometry: Node<'_>, kind: &Kind) -> Result<(), Trouble> {
    let Some(allowed) = allowed_geometries(kind) else {
        return Ok(());
    };
    let found = type_of(geometry)?.unwrap_or_else(|| "null".to_owned());
    if allowed.contains(&found.as_str()) {
        return Ok(());
    }
    let allowed = format!("{} for a {}", allowed.join(" or "), kind.word().unwrap_or_default());
    Err(geometry.trouble_found(quoted(&found), allowed).under("type"))
}

fn read_properties(node: Node<'_>, feature: &mut Feature) -> Result<(), Trouble> {
    let mut members = node.members()?;
    let word = match members.take("kind") {
        Some(word) => Some(word.text().map_err(|trouble| trouble.under("kind"))?),
        None => None,
    };
    feature.kind = word.map_or(Kind::Other(None), |word| bare_kind(&word));
    let known = !matches!(feature.kind, Kind::Other(_));
    for (key, place) in [("name", &mut feature.name), ("note", &mut feature.note)] {
        // A kind that we do not know may mean something else by these words: then they stay as they came.
        if known || members.list.iter().any(|(name, node)| name == key && node.text().is_ok()) {
            let most = if key == "name" { NAME_LETTERS } else { TEXT_LETTERS };
            let text = members.take(key).map(|node| text_within(node, most)).transpose();
            *place = text.map_err(|trouble| trouble.under(key))?;
        }
    }
    let mut reader = FieldReader::new(members);
    fields(&mut feature.kind, &mut reader);
    feature.extra = reader.finish()?.rest()?;
    Ok(())
}

/// A feature as one line of JSON.
pub(super) fn write_feature(feature: &Feature) -> String {
    let mut properties = FieldWriter::default();
    for (key, text) in [("kind", feature.kind.word()), ("name", feature.name.as_deref()), ("note", feature.note.as_deref())] {
        if let Some(text) = text {
            properties.member(key, quoted(text));
        }
    }
    fields(&mut feature.kind.clone(), &mut properties);
    properties.members(&feature.extra);
    let mut members = FieldWriter::default();
    members.member("type", quoted("Feature"));
    members.member("id", write_id(&feature.id));
    members.member("geometry", write_shape(&feature.geometry, &feature.heights, &feature.geometry_foreign));
    members.member("properties", properties.into_object());
    members.members(&feature.foreign);
    members.into_object()
}
