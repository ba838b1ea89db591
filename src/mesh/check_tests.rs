//! Every class of defect, with its element and its place.
use super::*;
use crate::mesh::doubt::id;
use crate::mesh::solids;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

/// A box 4 × 1 × 0.5 cut into cells of 0.25 m.
fn hull() -> Surface {
    solids::cuboid_subdivided(v(0.0, 0.0, 0.0), v(4.0, 1.0, 0.5), [16, 4, 2])
}

fn of_kind(examination: &Examination, kind: DefectKind) -> Vec<&Defect> {
    examination
        .defects
        .iter()
        .filter(|d| d.kind == kind)
        .collect()
}

fn top_faces(surface: &Surface) -> Vec<usize> {
    (0..surface.faces.len())
        .filter(|f| {
            surface
                .corners(*f)
                .iter()
                .all(|c| (c.z - 0.5).abs() < 1e-12)
        })
        .collect()
}

#[test]
fn a_sound_surface_has_no_defect() {
    let examination = examine(&hull());
    assert!(examination.is_sound(), "{:?}", examination.defects);
    assert_eq!(examination.shells.len(), 1);
    assert!(examination.shells[0].closed);
    assert!((examination.shells[0].volume_m3 - 2.0).abs() < 1e-12);
    assert!(examination.audit.is_some());
}

#[test]
fn an_open_top_is_one_loop_with_its_length_area_and_places() {
    let mut open = hull();
    let top = top_faces(&open);
    let mut face = 0;
    open.faces.retain(|_| {
        face += 1;
        !top.contains(&(face - 1))
    });
    let examination = examine(&open);
    assert_eq!(examination.defects.len(), 1);
    assert_eq!(examination.loops.len(), 1);
    let rim = &examination.loops[0];
    assert_eq!(rim.vertices.len(), 40);
    assert!((rim.length_m - 10.0).abs() < 1e-12);
    assert!((rim.area_m2 - 4.0).abs() < 1e-12);
    assert!((rim.centre - v(2.0, 0.5, 0.5)).norm() < 1e-12);
    assert!((rim.lowest.z - 0.5).abs() < 1e-12);
    assert_eq!(examination.defects[0].element, Element::Loop(0));
    assert!(!examination.shells[0].closed && examination.audit.is_none());
}

/// One mesh with a hole, a turned face, a face that is there twice, one with
/// a corner twice, one without area, a branching sheet, a loose speck and an
/// inverted shell.
#[test]
fn all_classes_are_listed_at_once_each_with_element_and_place() {
    let mut mesh = hull();
    let top = top_faces(&mesh);
    let facets = mesh.faces.len();
    let middle = |mesh: &Surface, f: usize| mesh.corners(f).iter().sum::<Vec3>() / 3.0;
    let (turned, twice, hole) = (top[3], top[40], top[80]);
    let (turned_at, twice_at) = (middle(&mesh, turned), middle(&mesh, twice));
    let hole_corners = mesh.faces[hole];
    mesh.faces[turned].swap(0, 1);
    mesh.faces.push(mesh.faces[twice]); // facet n + 1
    mesh.faces.push([5, 5, 9]); // n + 2
    // A fin on an edge of the bottom: n + 3.
    let bottom = (0..facets)
        .find(|f| mesh.corners(*f).iter().all(|c| c.z.abs() < 1e-12))
        .unwrap();
    let [a, b, _] = mesh.faces[bottom];
    let tip = id(mesh.vertices.len());
    mesh.vertices.push(v(2.0, 0.5, -1.0));
    mesh.faces.push([a, b, tip]);
    // A flat face standing alone: n + 4. It is a speck too, and open.
    mesh.vertices
        .extend([v(1.0, 3.0, 0.0), v(1.01, 3.0, 0.0), v(1.02, 3.0, 0.0)]);
    mesh.faces.push([tip + 1, tip + 2, tip + 3]);
    let mut inverted = solids::icosphere(v(8.0, 0.0, 0.0), 0.5, 2);
    inverted.flip();
    mesh.append(&inverted);
    mesh.faces[hole] = [0, 0, 1]; // leaves a hole and a repeated corner

    let found = examine(&mesh);
    let at = |kind| of_kind(&found, kind);

    let clash = at(DefectKind::ClashingFaces);
    assert_eq!(clash.len(), 3, "the three edges of the turned face");
    for defect in &clash {
        assert!((defect.place - turned_at).norm() < 0.25);
    }
    let duplicate = at(DefectKind::DuplicateFace);
    assert_eq!(duplicate.len(), 1);
    assert_eq!(duplicate[0].element, Element::Facet(facets + 1));
    assert!((duplicate[0].place - twice_at).norm() < 1e-12);

    let repeated = at(DefectKind::RepeatedCorner);
    let elements: Vec<Element> = repeated.iter().map(|d| d.element).collect();
    assert_eq!(
        elements,
        [Element::Facet(hole + 1), Element::Facet(facets + 2)]
    );

    let flat = at(DefectKind::FlatFace);
    assert_eq!(flat.len(), 1);
    assert_eq!(flat[0].element, Element::Facet(facets + 4));
    assert!((flat[0].place - v(1.01, 3.0, 0.0)).norm() < 1e-12);

    // The fin's edge, and the three edges of the duplicate.
    let branching = at(DefectKind::BranchingEdge);
    assert_eq!(branching.len(), 4);
    let fin_edge = (mesh.vertices[a as usize] + mesh.vertices[b as usize]) / 2.0;
    assert!(branching.iter().any(|d| (d.place - fin_edge).norm() < 1e-12
        && matches!(d.element, Element::Edge { vertices, .. } if vertices == [a, b] || vertices == [b, a])));

    let hole_place = hole_corners
        .iter()
        .map(|c| mesh.vertices[*c as usize])
        .sum::<Vec3>()
        / 3.0;
    let openings = at(DefectKind::OpenLoop);
    assert!(openings.iter().any(|d| (d.place - hole_place).norm() < 0.1));

    let inverted = at(DefectKind::InvertedShell);
    assert_eq!(inverted.len(), 1);
    assert!((inverted[0].place - v(8.0, 0.0, 0.0)).norm() < 1e-9);
    assert!(
        matches!(inverted[0].element, Element::Shell(s) if found.shells[s].first_facet == facets + 5)
    );

    let speck = at(DefectKind::Speck);
    assert!(
        speck
            .iter()
            .any(|d| (d.place - v(1.01, 3.0, 0.0)).norm() < 1e-12)
    );

    let classes = found.classes();
    let counted: usize = classes.iter().map(|c| c.count).sum();
    assert_eq!(counted, found.defects.len());
    let shown = classes
        .iter()
        .find(|c| c.kind == DefectKind::BranchingEdge)
        .unwrap()
        .sentence()
        .to_string();
    assert!(
        shown.starts_with("4 × edge with three or more faces: edge "),
        "{shown}"
    );
    assert!(shown.ends_with("; and 1 more"), "{shown}");
}

#[test]
fn facets_are_named_by_their_number_in_the_file() {
    let mut mesh = hull();
    mesh.faces.push([5, 5, 9]);
    let number = mesh.faces.len();
    // Facets 1, 2 and 10 of the file could not be read.
    let facets = FacetNumbers::without(vec![1, 2, 10]);
    let found = examine_numbered(&mesh, &facets);
    let repeated = of_kind(&found, DefectKind::RepeatedCorner);
    assert_eq!(repeated[0].element, Element::Facet(number + 3));
}

#[test]
fn a_hollow_is_no_inverted_shell() {
    let mut mesh = solids::icosphere(Vec3::zeros(), 1.0, 3);
    let mut hollow = solids::icosphere(v(0.1, 0.2, 0.0), 0.5, 3);
    hollow.flip();
    mesh.append(&hollow);
    let found = examine(&mesh);
    assert!(found.is_sound(), "{:?}", found.defects);
    assert_eq!(found.shells[1].inside_of, [0]);
    assert!(found.shells[1].volume_m3 < 0.0);
}

#[test]
fn overlapping_shells_are_a_defect_with_a_place() {
    let mut mesh = solids::icosphere(Vec3::zeros(), 1.0, 4);
    mesh.append(&solids::icosphere(v(1.5, 0.0, 0.0), 1.0, 4));
    let found = examine(&mesh);
    assert_eq!(found.defects.len(), 1);
    assert_eq!(found.defects[0].kind, DefectKind::DoubledVolume);
    assert!((found.defects[0].place.x - 0.75).abs() < 0.2);
}

/// A band with a half twist: no orientation of it agrees with itself.
#[test]
fn a_one_sided_band_is_told() {
    let n = 12_u32;
    let mut band = Surface::default();
    for i in 0..n {
        let t = std::f64::consts::TAU * f64::from(i) / f64::from(n);
        let (s, c) = t.sin_cos();
        let (hs, hc) = (t / 2.0).sin_cos();
        for side in [-0.3, 0.3] {
            let r = 1.0 + side * hc;
            band.vertices.push(v(r * c, r * s, side * hs));
        }
    }
    for i in 0..n {
        let (a, b) = (2 * i, 2 * i + 1);
        let (c, d) = if i + 1 == n { (1, 0) } else { (a + 2, a + 3) };
        band.faces.extend([[a, c, b], [b, c, d]]);
    }
    let found = examine(&band);
    assert!(found.count(DefectKind::OneSided) > 0, "{:?}", found.defects);
}

#[test]
fn an_examination_writes_itself_as_json() {
    let mut mesh = hull();
    mesh.faces.pop();
    let json = serde_json::to_value(examine(&mesh)).unwrap();
    assert_eq!(json["defects"][0]["kind"], "open_loop");
    assert_eq!(json["defects"][0]["place"].as_array().unwrap().len(), 3);
}
