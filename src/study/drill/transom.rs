//! The transom of the map, or those of a craft of several hulls.
use super::{AT_THE_END, BorderPoint, Group, Limits, border_point, group};
use crate::boat::Boat;
use crate::mesh::Slicer;
use crate::numerics::{Vec3, least_and_most};

/// Planes across one transom, closer together at its sides, where it rounds up.
const PLANES: u32 = 41;
/// Halvings between two planes to find where a border meets the skin: a thousandth of
/// their distance.
const HALVINGS: u32 = 10;
/// Faces that look aft but are narrower together than this make no transom, share of
/// the hull's breadth.
const NARROWEST: f64 = 0.02;

/// Each transom from starboard to port, with a point wherever a border meets its outline.
pub(super) fn transoms(boat: &Boat, slicer: &Slicer<'_>, limits: &Limits) -> Vec<Vec<BorderPoint>> {
    let spans = spans(boat).into_iter();
    spans.map(|span| one(boat, slicer, limits, span)).collect()
}

fn is_transom(boat: &Boat, face: usize) -> bool {
    face < boat.skin_faces && matches!(group(boat, face), Group::Transom)
}

/// Where on y there are faces of a transom, without what is between them, m.
fn spans(boat: &Boat) -> Vec<[f64; 2]> {
    let (lo, hi) = boat.hull_box_m;
    let faces = (0..boat.skin_faces).filter(|face| is_transom(boat, *face));
    let mut each: Vec<(f64, f64)> = faces
        .map(|face| least_and_most(boat.envelope.surface.corners(face).map(|c| c.y)))
        .collect();
    each.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut spans: Vec<[f64; 2]> = Vec::new();
    for (from, to) in each {
        match spans.last_mut() {
            Some(last) if from <= last[1] => last[1] = last[1].max(to),
            _ => spans.push([from, to]),
        }
    }
    spans.retain(|[from, to]| to - from > NARROWEST * (hi.y - lo.y));
    spans
}

fn one(
    boat: &Boat,
    slicer: &Slicer<'_>,
    limits: &Limits,
    [from, to]: [f64; 2],
) -> Vec<BorderPoint> {
    let point = |y: f64| {
        let cut = slicer.section(1, y);
        let aft = cut
            .runs()
            .filter(|(_, face)| is_transom(boat, *face as usize));
        let mut points: Vec<Vec3> = aft.flat_map(|(ends, _)| ends).collect();
        points.sort_by(|a, b| a.z.total_cmp(&b.z));
        border_point(y, &points, limits)
    };
    let mut points: Vec<BorderPoint> = Vec::new();
    for number in 0..PLANES {
        let turn = std::f64::consts::PI * f64::from(number) / f64::from(PLANES - 1);
        let share = f64::midpoint(1.0, -turn.cos()).clamp(AT_THE_END, 1.0 - AT_THE_END);
        let Some(next) = point(from + (to - from) * share) else {
            continue;
        };
        if let Some(last) = points.last().copied() {
            points.extend(between(last, next, &point));
        }
        points.push(next);
    }
    points
}

/// Which borders cross the skin here, and do not run along its lower or upper edge.
fn crossed(p: &BorderPoint) -> [bool; 6] {
    let [water, never, free] =
        [p.water_m, p.never_m, p.free_m].map(|z| [z > p.low_m, z < p.high_m]);
    [water[0], water[1], never[0], never[1], free[0], free[1]]
}

/// Where each border meets the outline between two planes, in their order.
fn between(
    a: BorderPoint,
    b: BorderPoint,
    point: &impl Fn(f64) -> Option<BorderPoint>,
) -> Vec<BorderPoint> {
    let mut found: Vec<BorderPoint> = Vec::new();
    for which in 0..6 {
        if crossed(&a)[which] == crossed(&b)[which] {
            continue;
        }
        let mut ends = [a, b];
        for _ in 0..HALVINGS {
            let Some(middle) = point(f64::midpoint(ends[0].at_m, ends[1].at_m)) else {
                break;
            };
            ends[usize::from(crossed(&middle)[which] != crossed(&a)[which])] = middle;
        }
        found.extend(
            ends.into_iter()
                .filter(|p| p.at_m > a.at_m && p.at_m < b.at_m),
        );
    }
    found.sort_by(|p, q| p.at_m.total_cmp(&q.at_m));
    found.dedup_by(|p, q| p.at_m == q.at_m);
    found
}
