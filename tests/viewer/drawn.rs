//! The waterline that is drawn is the kernel's, to a millimetre.
use awash::boat::Yardsticks;
use awash::immersion::WaterPlane;
use awash::mesh::{Surface, solids::quartered};
use awash::numerics::Vec3;
use awash::viewer::{DisplayMesh, Shades, cut};

use crate::support::{boats, looked_at};

/// What the drawing may be off by.
const DRAWN_WITHIN_M: f64 = 1e-3;

/// Where the drawn colour turns from water to hull: points along the edges of
/// the drawn triangles at which the interpolated place in the row is one half.
fn drawn_waterline(mesh: &DisplayMesh, plane: &WaterPlane) -> Vec<Vec3> {
    let shades = Shades::new(4.0, &Yardsticks::default().sill);
    let places = mesh.shade_at_corners(plane, &shades);
    let mut points = Vec::new();
    for face in &mesh.faces {
        for (a, b) in [(0, 1), (1, 2), (2, 0)].map(|(i, j)| (face[i] as usize, face[j] as usize)) {
            let (pa, pb) = (f64::from(places[a]) - 0.5, f64::from(places[b]) - 0.5);
            if (pa < 0.0) != (pb < 0.0) {
                points.push(mesh.points[a] + (mesh.points[b] - mesh.points[a]) * (pa / (pa - pb)));
            }
        }
    }
    points
}

/// The kernel's line on the full surface, as its segments.
fn kernel_line(surface: &Surface, faces: usize, plane: &WaterPlane) -> Vec<[Vec3; 2]> {
    let lines = cut(surface, faces, plane);
    let closed = lines.loops.iter().flat_map(|ring| {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(a, b)| [*a, *b])
    });
    let open = lines
        .open
        .iter()
        .flat_map(|line| line.windows(2).map(|w| [w[0], w[1]]));
    closed.chain(open).collect()
}

fn distance_m(point: &Vec3, [a, b]: &[Vec3; 2]) -> f64 {
    let along = b - a;
    let share = if along.norm_squared() > 0.0 {
        ((point - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (point - a - along * share).norm()
}

/// Greatest distance of every `every`th drawn point from the kernel's line.
fn worst_m(drawn: &[Vec3], line: &[[Vec3; 2]], every: usize) -> f64 {
    drawn
        .iter()
        .step_by(every)
        .map(|point| {
            let all = line.iter().map(|segment| distance_m(point, segment));
            all.fold(f64::INFINITY, f64::min)
        })
        .fold(0.0, f64::max)
}

/// The line encloses the waterplane that the kernel integrates (shoelace).
fn enclosed_m2(surface: &Surface, plane: &WaterPlane) -> f64 {
    let axes = plane.axes();
    let lines = cut(surface, surface.faces.len(), plane);
    assert!(lines.open.is_empty());
    // Rings are walked either way: outer ones add, wells take off.
    let mut areas: Vec<f64> = lines
        .loops
        .iter()
        .map(|ring| {
            let next = ring.iter().cycle().skip(1);
            let twice: f64 = ring
                .iter()
                .zip(next)
                .map(|(a, b)| {
                    axes.forward.dot(a) * axes.port.dot(b) - axes.forward.dot(b) * axes.port.dot(a)
                })
                .sum();
            (twice / 2.0).abs()
        })
        .collect();
    areas.sort_by(|a, b| b.total_cmp(a));
    areas[0] - areas[1..].iter().sum::<f64>()
}

#[test]
fn the_line_encloses_the_kernels_waterplane() {
    for name in ["before.toml", "after.toml"] {
        let mut state = looked_at(name);
        for heel in [0.0, 6.0] {
            state.hold_heel(heel);
            let plane = state.readings().plane;
            let subject = state.subject();
            // The hull's own; things that stand outside it cut the water too.
            let kernel = subject.boat.tree.immerse(&plane).waterplane.area_m2;
            let line = enclosed_m2(&subject.boat.envelope.surface, &plane);
            assert!(
                (line - kernel).abs() < 1e-9 * kernel,
                "{name}: {line} {kernel}"
            );
        }
    }
}

#[test]
fn on_the_demo_it_is_drawn_where_the_kernel_has_it() {
    let mut state = looked_at("after.toml");
    for heel in [0.0, 11.0, -25.0] {
        state.hold_heel(heel);
        let plane = state.readings().plane;
        let boat = &state.subject().boat;
        let surface = &boat.envelope.surface;
        let mesh = DisplayMesh::new(surface, boat.skin_faces, 200_000);
        let drawn = drawn_waterline(&mesh, &plane);
        let line = kernel_line(surface, boat.skin_faces, &plane);
        assert!(drawn.len() > 100 && !line.is_empty());
        // Not made coarser: only single precision and the rounding of colours.
        assert!(worst_m(&drawn, &line, 7) < 1e-5);
    }
}

#[test]
fn made_coarser_it_is_still_within_a_millimetre_and_keeps_its_chines() {
    // The open hull split into 24 564 × 9 triangles of skin, drawn with a
    // third of them.
    let hull =
        awash::boat::read_mesh(&awash::files::Disk, &boats("hull.stl"), Some(0.001), true).unwrap();
    let fine = quartered(quartered(hull.surface.clone()));
    let most = fine.faces.len() / 3;
    let mesh = DisplayMesh::new(&fine, fine.faces.len(), most);
    assert!(mesh.is_coarser && mesh.faces.len() <= most && mesh.faces.len() > most / 4);
    for (heel, pitch, height) in [(0.0, 0.0, 0.18), (7.0, -2.0, 0.2), (-30.0, 3.0, 0.15)] {
        let plane = WaterPlane::at_attitude(heel, pitch, height);
        let drawn = drawn_waterline(&mesh, &plane);
        let line = kernel_line(&fine, fine.faces.len(), &plane);
        let worst = worst_m(&drawn, &line, drawn.len() / 300 + 1);
        assert!(worst < DRAWN_WITHIN_M, "{heel} {pitch}: {worst}");
        // And nowhere is the line left out.
        let on_line: Vec<Vec3> = line.iter().map(|[a, b]| (a + b) / 2.0).collect();
        let links: Vec<[Vec3; 2]> = drawn
            .chunks(2)
            .filter(|c| c.len() == 2)
            .map(|c| [c[0], c[1]])
            .collect();
        let missed = worst_m(&on_line, &links, on_line.len() / 300 + 1);
        assert!(missed < DRAWN_WITHIN_M, "{heel} {pitch}: {missed}");
    }
}
