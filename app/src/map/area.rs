//! Filled areas of any outline. egui fills convex outlines only, so others are cut into triangles.

use egui::{Color32, Mesh, Pos2, Shape};

/// A filled outline.
pub fn filled(outline: &[Pos2], fill: Color32) -> Shape {
    let mut mesh = Mesh::default();
    let mut open = outline;
    if let ([first, .., last], true) = (outline, outline.len() > 3)
        && first == last
    {
        open = &outline[..outline.len() - 1];
    }
    open.iter().for_each(|&corner| mesh.colored_vertex(corner, fill));
    let mut triangles: Vec<u32> = Vec::new();
    earcut::Earcut::new().earcut(open.iter().map(|corner| [corner.x, corner.y]), &[], &mut triangles);
    mesh.indices = triangles;
    Shape::mesh(mesh)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_notched_outline_is_filled_to_its_area_and_no_more() {
        let outline = [pos2(0.0, 0.0), pos2(4.0, 0.0), pos2(4.0, 4.0), pos2(2.0, 1.0), pos2(0.0, 4.0), pos2(0.0, 0.0)];
        let Shape::Mesh(mesh) = filled(&outline, Color32::RED) else { panic!("a mesh") };
        let corner = |i: u32| mesh.vertices[i as usize].pos;
        let area: f32 = mesh
            .indices
            .chunks(3)
            .map(|t| {
                let (a, b, c) = (corner(t[0]), corner(t[1]), corner(t[2]));
                ((b - a).x * (c - a).y - (b - a).y * (c - a).x).abs() / 2.0
            })
            .sum();
        assert!((area - 10.0).abs() < 1e-4, "{area}");
    }
}
