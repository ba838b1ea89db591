use super::*;
use crate::mesh::solids;

fn whole(surface: Surface) -> Envelope {
    Envelope {
        sources: vec![FaceSource::Hull; surface.faces.len()],
        surface,
    }
}

fn hulls() -> Vec<(&'static str, Envelope)> {
    let mut bowl = solids::half_ellipsoid(Vec3::new(1.6, 0.5, 0.4), 24, 64);
    for v in &mut bowl.vertices {
        v.z += 0.4;
    }
    let mut two = solids::icosphere(Vec3::new(0.0, 1.2, 0.0), 0.5, 4);
    two.append(&solids::cuboid_subdivided(
        Vec3::new(-1.0, -0.5, -0.3),
        Vec3::new(1.0, 0.4, 0.3),
        [20, 9, 6],
    ));
    vec![
        ("bowl", whole(bowl)),
        (
            "ball",
            whole(solids::icosphere(Vec3::new(0.1, 0.02, 0.3), 0.7, 5)),
        ),
        (
            "box",
            whole(solids::cuboid_subdivided(
                Vec3::new(-1.5, -0.4, 0.0),
                Vec3::new(1.5, 0.4, 0.5),
                [30, 8, 5],
            )),
        ),
        ("two bodies", whole(two)),
    ]
}

fn parts(random: &mut fastrand::Rng, hull: &Envelope) -> Envelope {
    let kind = random.usize(0..3);
    let (lo, hi) = hull.surface.bounds().unwrap();
    let mut between = |a: f64, b: f64| a + (b - a) * random.f64();
    let middle = Vec3::new(
        between(lo.x, hi.x),
        between(lo.y, hi.y),
        between(lo.z, hi.z),
    );
    let size = Vec3::new(
        between(0.02, 0.25),
        between(0.02, 0.25),
        between(0.02, 0.25),
    );
    let surface = match kind {
        0 => solids::cuboid(middle - size, middle + size),
        1 => solids::cylinder(middle - size, middle + size, size.x * 0.7, 32),
        _ => solids::icosphere(middle, size.x, 2),
    };
    Envelope::of_part(surface, 0)
}

fn rim_length_m(envelope: &Envelope) -> f64 {
    let rim = envelope.rim_of(FaceSource::Part(0));
    rim.iter().map(|[a, b]| (b - a).norm()).sum()
}

/// Internal consistency: the join near a part against the library's over the whole
/// hull, at random places. Both are sums of the same faces; 1e-9 of the volume is
/// what rounding leaves and more.
#[test]
fn near_a_part_is_as_over_the_whole_hull_at_200_random_places() {
    let mut random = fastrand::Rng::with_seed(7);
    let mut near = 0;
    for round in 0..200 {
        let hulls = hulls();
        let (name, hull) = &hulls[round % hulls.len()];
        let part = parts(&mut random, hull);
        let operation = [Operation::Join, Operation::Cut, Operation::Keep][random.usize(0..3)];
        let Ok(all) = hull.combine(&part, operation) else {
            continue;
        };
        let Some(change) = combine_near(hull, &FaceRuns::of(&hull.surface), &part, operation)
        else {
            eprintln!("{round} {name}: whole");
            continue;
        };
        near += 1;
        let made = if operation == Operation::Keep {
            change.came.clone()
        } else {
            let mut made = hull.clone();
            change.make_to(&mut made);
            made
        };
        assert!(
            made.surface.is_balanced(),
            "{round} {name} {operation:?}: open"
        );
        let (got, want) = (
            made.surface.signed_volume_m3(),
            all.surface.signed_volume_m3(),
        );
        let size = hull.surface.signed_volume_m3();
        assert!(
            (got - want).abs() <= 1e-9 * size,
            "{round} {name} {operation:?}: {got} for {want}"
        );
        let (got, want) = (rim_length_m(&made), rim_length_m(&all));
        assert!(
            (got - want).abs() <= 1e-6,
            "{round} {name} {operation:?}: rim {got} for {want}"
        );
        assert_eq!(
            crate::mesh::pieces(&made.surface).len(),
            crate::mesh::pieces(&all.surface).len(),
            "{round} {name}"
        );
    }
    assert!(near > 150, "only {near} near");
}
