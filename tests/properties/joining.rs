//! Parts joined with the hull near them against the library's join with the whole hull,
//! at random places. Internal consistency, but for boxes, whose volumes are closed forms.
use std::collections::HashSet;

use awash::boat::{Boat, BoatBuilder, Envelope, FaceSource, Operation, Role};
use awash::mesh::{DefectKind, Surface, examine, pieces, solids};
use awash::numerics::{Vec3, place_bits};
use fastrand::Rng;
use nalgebra::Rotation3;

/// Volumes agree within this share of the hull's, areas within this share of theirs:
/// both joins sum the same faces, and this is what rounding leaves and more.
const ALIKE: f64 = 1e-9;
/// Rims agree within this, m.
const RIM_WITHIN_M: f64 = 1e-6;
/// A rim that is nothing but touching faces is told apart from one by this length, m.
const NO_RIM_M: f64 = 1e-9;

#[test]
fn parts_at_40_random_places_are_as_joined_with_the_whole_hull() {
    placements(40, 11);
}

#[test]
#[ignore = "minutes in a debug build"]
fn parts_at_200_random_places_are_as_joined_with_the_whole_hull() {
    placements(200, 12);
}

/// A large part is joined with the whole hull, a small one near it, and both are counted.
#[test]
fn what_takes_the_whole_hull_is_counted() {
    let (_, hull) = &hulls()[0];
    let bare = BoatBuilder::new("ball", hull).weighing(100.0, Vec3::zeros());
    let small = solids::cuboid(Vec3::new(0.5, -0.1, -0.1), Vec3::new(0.9, 0.1, 0.1));
    let large = solids::cuboid(Vec3::repeat(-0.9), Vec3::new(0.9, 0.9, 0.3));
    let joins = |parts: &[&Surface]| {
        let parts = parts.iter().enumerate();
        let boat = parts.fold(bare.clone(), |boat, (number, part)| {
            boat.part(&number.to_string(), Role::Add, part)
        });
        boat.build().expect("it can be built").whole_joins
    };
    assert_eq!(joins(&[]), 0);
    assert_eq!(joins(&[&small]), 0);
    assert_eq!(joins(&[&large]), 1);
    assert_eq!(joins(&[&small, &large]), 1);
}

/// Hulls with closed and open tops, flat and round sides, one body and two. Invented.
fn hulls() -> Vec<(&'static str, Surface)> {
    let ball = solids::icosphere(Vec3::new(0.1, 0.02, 0.03), 0.7, 4);
    let block = solids::cuboid_subdivided(
        Vec3::new(-1.5, -0.4, 0.0),
        Vec3::new(1.5, 0.4, 0.5),
        [30, 8, 5],
    );
    let decked = solids::half_ellipsoid(Vec3::new(1.6, 0.5, 0.4), 16, 48);
    let mut open = decked.clone();
    let is_deck = |face: &[u32; 3]| face.iter().all(|v| decked.vertices[*v as usize].z > -1e-9);
    open.faces.retain(|face| !is_deck(face));
    open.drop_unused_vertices();
    let mut twin = solids::cuboid_subdivided(
        Vec3::new(-1.0, -0.6, -0.2),
        Vec3::new(1.0, -0.3, 0.2),
        [20, 4, 5],
    );
    twin.append(&solids::uv_sphere(Vec3::new(0.0, 0.6, 0.0), 0.45, 20, 40));
    vec![
        ("ball", ball),
        ("block", block),
        ("decked bowl", decked),
        ("open bowl", open),
        ("two bodies", twin),
    ]
}

/// A solid somewhere at a hull: in, across, through, flush with and clear of its skin.
fn part(rng: &mut Rng, (lo, hi): (Vec3, Vec3)) -> Surface {
    let between = |rng: &mut Rng, a: f64, b: f64| a + (b - a) * rng.f64();
    let room = (hi - lo) * 0.1;
    let middle = Vec3::from_fn(|k, _| between(rng, lo[k] - room[k], hi[k] + room[k]));
    let size = Vec3::from_fn(|_, _| between(rng, 0.03, 0.25));
    match rng.usize(0..6) {
        0 => solids::cuboid(middle - size, middle + size),
        1 => solids::cylinder(middle - size, middle + size, size.x * 0.7, 24),
        2 => solids::icosphere(middle, size.x, 2),
        3 => {
            let turn = Rotation3::from_euler_angles(
                between(rng, 0.0, 3.0),
                between(rng, 0.0, 3.0),
                between(rng, 0.0, 3.0),
            );
            let mut block = solids::cuboid(-size, size);
            for v in &mut block.vertices {
                *v = turn * *v + middle;
            }
            block
        }
        4 => {
            // A bar through both sides, across or from top to bottom.
            let axis = rng.usize(1..3);
            let thin = Vec3::new(0.06, 0.05, 0.04);
            let (mut from, mut to) = (middle - thin, middle + thin);
            from[axis] = lo[axis] - 0.1;
            to[axis] = hi[axis] + 0.1;
            solids::cuboid(from, to)
        }
        _ => {
            // Flush with the hull's top, on it or let into it.
            let (mut from, mut to) = (middle - size, middle + size);
            if rng.bool() {
                (from.z, to.z) = (hi.z, hi.z + size.z);
            } else {
                (from.z, to.z) = (hi.z - size.z, hi.z);
            }
            solids::cuboid(from, to)
        }
    }
}

fn placements(count: usize, seed: u64) {
    let mut rng = Rng::with_seed(seed);
    let hulls = hulls();
    let bare: Vec<(&str, BoatBuilder, Boat)> = hulls
        .iter()
        .map(|(name, surface)| {
            let builder = BoatBuilder::new(name, surface).weighing(100.0, Vec3::zeros());
            let boat = builder.build().expect("the bare hull is sound");
            (*name, builder, boat)
        })
        .collect();
    let mut near = 0;
    for round in 0..count {
        let (name, builder, hull) = &bare[round % bare.len()];
        let hull = hull.envelope.as_ref();
        let bounds = hull.surface.bounds().expect("it has vertices");
        let solid = part(&mut rng, bounds);
        let (role, operation) = if rng.bool() {
            (Role::Add, Operation::Join)
        } else {
            (Role::Recess, Operation::Cut)
        };
        let what = format!("round {round}, {name}, {operation:?}");
        let whole = hull.combine(&Envelope::of_part(solid.clone(), 0), operation);
        let made = builder.clone().part("part", role, &solid).build();
        let (whole, boat) = match (whole, made) {
            (Ok(whole), Ok(boat)) => (whole, boat),
            (Err(_), Err(_)) => continue,
            (whole, made) => panic!("{what}: {:?}, {:?}", whole.err(), made.err()),
        };
        let volume_m3 = hull.surface.signed_volume_m3();
        let made = boat.envelope.as_ref();
        if boat
            .doubts
            .iter()
            .any(|doubt| doubt.to_string().contains("is a void"))
        {
            let left_out = made.surface.signed_volume_m3() - volume_m3;
            assert!(left_out.abs() <= ALIKE * volume_m3, "{what}: {left_out:e}");
            continue;
        }
        near += 1 - boat.whole_joins;
        let off = made.surface.signed_volume_m3() - whole.surface.signed_volume_m3();
        assert!(off.abs() <= ALIKE * volume_m3, "{what}: off by {off:e} m³");
        no_seam(made, &what);
        assert_eq!(
            pieces(&made.surface).len(),
            pieces(&whole.surface).len(),
            "{what}: pieces"
        );
        let (areas, wanted) = (made.areas(), whole.areas());
        for (source, area) in &wanted {
            let got = areas.get(source).map_or(0.0, |area| area.area_m2);
            let off = got - area.area_m2;
            assert!(
                off.abs() <= ALIKE * hull.surface.area_m2(),
                "{what}: {source:?} {off:e} m²"
            );
        }
        same_rim(made, &whole, &what);
        if boat.whole_joins == 0 {
            untouched(hull, made, &solid, &what);
        }
    }
    assert!(5 * near > 3 * count, "only {near} of {count} near the part");
}

/// No open edge, none with faces that disagree, nothing wrapped twice.
fn no_seam(made: &Envelope, what: &str) {
    assert!(made.surface.is_balanced(), "{what}: open");
    let found = examine(&made.surface);
    for kind in [
        DefectKind::OpenLoop,
        DefectKind::LooseChain,
        DefectKind::ClashingFaces,
        DefectKind::DoubledVolume,
        DefectKind::InsideOutVolume,
    ] {
        assert_eq!(found.count(kind), 0, "{what}: {kind}");
    }
}

/// Each point of either rim lies on the other.
fn same_rim(made: &Envelope, whole: &Envelope, what: &str) {
    let rim = |envelope: &Envelope| envelope.rim_of(FaceSource::Part(0));
    let (one, other) = (rim(made), rim(whole));
    let length = |rim: &[[Vec3; 2]]| rim.iter().map(|[a, b]| (b - a).norm()).sum::<f64>();
    if length(&one).max(length(&other)) < NO_RIM_M {
        return;
    }
    for (points, curve) in [(&one, &other), (&other, &one)] {
        for point in points.iter().flatten() {
            let nearest = curve
                .iter()
                .map(|edge| distance(point, edge))
                .fold(f64::INFINITY, f64::min);
            assert!(
                nearest <= RIM_WITHIN_M,
                "{what}: the rim is off by {nearest:e} m"
            );
        }
    }
}

fn distance(point: &Vec3, [a, b]: &[Vec3; 2]) -> f64 {
    let along = b - a;
    let share = (point - a).dot(&along) / along.norm_squared().max(f64::MIN_POSITIVE);
    (a + along * share.clamp(0.0, 1.0) - point).norm()
}

/// Faces of the hull that the part's box does not reach, nor any that shares a corner with
/// one that it does, are there to the last bit.
fn untouched(hull: &Envelope, made: &Envelope, part: &Surface, what: &str) {
    let (lo, hi) = part.bounds().expect("it has vertices");
    let surface = &hull.surface;
    let reached = |face: &usize| {
        let [a, b, c] = surface.corners(*face);
        let (least, most) = (a.inf(&b).inf(&c), a.sup(&b).sup(&c));
        (0..3).all(|k| least[k] <= hi[k] + 1e-6 && most[k] >= lo[k] - 1e-6)
    };
    let corners: HashSet<u32> = (0..surface.faces.len())
        .filter(reached)
        .flat_map(|face| surface.faces[face])
        .collect();
    let faces = |surface: &Surface| -> HashSet<[[u64; 3]; 3]> {
        let least_first = |face: usize| {
            let mut corners = surface.corners(face).map(|v| place_bits(&v));
            let least = (0..3).min_by_key(|&k| corners[k]).unwrap_or(0);
            corners.rotate_left(least);
            corners
        };
        (0..surface.faces.len()).map(least_first).collect()
    };
    let mut clear = surface.clone();
    clear
        .faces
        .retain(|face| !face.iter().any(|v| corners.contains(v)));
    assert!(
        !clear.faces.is_empty(),
        "{what}: nothing is clear of the part"
    );
    let gone = faces(&clear).difference(&faces(&made.surface)).count();
    assert_eq!(gone, 0, "{what}: faces clear of the part changed");
}

/// Closed form: a box joined to or cut from a box changes its volume by its own less what
/// of it lies in the other, which is a product of three lengths.
#[test]
fn boxes_at_random_places_have_the_volume_of_the_closed_form() {
    let mut rng = Rng::with_seed(5);
    let (_, block) = hulls().swap_remove(1);
    let (lo, hi) = block.bounds().expect("it has vertices");
    let builder = BoatBuilder::new("block", &block).weighing(100.0, Vec3::zeros());
    for round in 0..20 {
        let middle = Vec3::from_fn(|k, _| lo[k] + (hi[k] - lo[k]) * rng.f64());
        let half = Vec3::from_fn(|_, _| 0.03 + 0.2 * rng.f64());
        let (from, to) = (middle - half, middle + half);
        let common = (hi.inf(&to) - lo.sup(&from)).product();
        let own = (2.0 * half).product();
        let whole = (hi - lo).product();
        let solid = solids::cuboid(from, to);
        let added = builder.clone().part("part", Role::Add, &solid).build();
        let added = added
            .expect("it can be built")
            .envelope
            .surface
            .signed_volume_m3();
        let off = added - (whole + own - common);
        assert!(
            off.abs() <= ALIKE * whole,
            "round {round}: joined, {off:e} m³"
        );
        let cut = builder.clone().part("part", Role::Recess, &solid).build();
        let cut = cut.expect("it can be built");
        if cut
            .doubts
            .iter()
            .any(|doubt| doubt.to_string().contains("is a void"))
        {
            continue;
        }
        let off = cut.envelope.surface.signed_volume_m3() - (whole - common);
        assert!(off.abs() <= ALIKE * whole, "round {round}: cut, {off:e} m³");
    }
}
