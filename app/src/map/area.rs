//! Filled areas of any outline. egui fills convex outlines only, so others are cut into triangles.

use egui::{Color32, Mesh, Pos2, Shape, TextureId};

/// A filled outline.
pub fn filled(outline: &[Pos2], fill: Color32) -> Shape {
    Shape::mesh(triangles(&[outline.to_vec()], fill))
}

/// A filled outline with holes: the first ring is the outline.
pub fn filled_around_holes(rings: &[Vec<Pos2>], fill: Color32) -> Shape {
    Shape::mesh(triangles(rings, fill))
}

/// The same, filled with a texture that repeats every so many points of the screen.
pub fn patterned(rings: &[Vec<Pos2>], texture: TextureId, every: f32) -> Shape {
    let mut mesh = triangles(rings, Color32::WHITE);
    mesh.texture_id = texture;
    mesh.vertices.iter_mut().for_each(|vertex| vertex.uv = (vertex.pos.to_vec2() / every).to_pos2());
    Shape::mesh(mesh)
}

fn triangles(rings: &[Vec<Pos2>], fill: Color32) -> Mesh {
    let mut mesh = Mesh::default();
    let mut holes: Vec<u32> = Vec::new();
    for (index, ring) in rings.iter().enumerate() {
        if index > 0 {
            holes.push(mesh.vertices.len() as u32);
        }
        let is_closed = ring.len() > 3 && ring.first() == ring.last();
        let open = if is_closed { &ring[..ring.len() - 1] } else { &ring[..] };
        open.iter().for_each(|&corner| mesh.colored_vertex(corner, fill));
    }
    let mut triangles: Vec<u32> = Vec::new();
    let corners: Vec<[f32; 2]> = mesh.vertices.iter().map(|vertex| [vertex.pos.x, vertex.pos.y]).collect();
    earcut::Earcut::new().earcut(corners, &holes, &mut triangles);
    mesh.indices = triangles;
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    fn area_of(shape: Shape) -> f32 {
        let Shape::Mesh(mesh) = shape else { panic!("a mesh") };
        let corner = |i: u32| mesh.vertices[i as usize].pos;
        let of = |t: &[u32]| {
            let (a, b, c) = (corner(t[0]), corner(t[1]), corner(t[2]));
            ((b - a).x * (c - a).y - (b - a).y * (c - a).x).abs() / 2.0
        };
        mesh.indices.chunks(3).map(of).sum()
    }

    #[test]
    fn a_notched_outline_is_filled_to_its_area_and_no_more() {
        let outline = [pos2(0.0, 0.0), pos2(4.0, 0.0), pos2(4.0, 4.0), pos2(2.0, 1.0), pos2(0.0, 4.0), pos2(0.0, 0.0)];
        let area = area_of(filled(&outline, Color32::RED));
        assert!((area - 10.0).abs() < 1e-4, "{area}");
    }

    #[test]
    fn a_hole_stays_empty() {
        let square = |from: f32, to: f32| vec![pos2(from, from), pos2(to, from), pos2(to, to), pos2(from, to), pos2(from, from)];
        let area = area_of(filled_around_holes(&[square(0.0, 4.0), square(1.0, 2.0)], Color32::RED));
        assert!((area - 15.0).abs() < 1e-4, "{area}");
    }
}
