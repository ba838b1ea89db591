//! A craft as it lies in the water, flattened for drawings: from starboard, from
//! astern, from above. Holds no study.
use std::collections::HashMap;

use crate::boat::{Boat, Opening, Verdict};
use crate::equilibrium::Rest;
use crate::immersion::WaterPlane;
use crate::mesh::{Surface, pieces};
use crate::numerics::{Vec3, least_and_most, place_bits};

/// Lines across a view at which its outline is taken.
const OUTLINE_LINES: usize = 400;
/// Length of the forward axis in the water plane below which a craft stands on
/// its end and has no forward.
const NO_FORWARD: f64 = 1e-6;

/// A craft from three sides.
#[derive(Debug, Clone, PartialEq)]
pub struct CraftPicture {
    /// From starboard, bow to the right; heights above the water go up.
    pub side: View,
    /// From astern, starboard to the right; heights above the water go up.
    pub stern: View,
    /// From above, bow to the right, port up.
    pub above: View,
}

/// One view. Points are `[right, up]`, m; the water is at up = 0 in the views
/// from starboard and astern.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// Closed outline of the envelope: the extreme points on even lines across
    /// the view, so gaps within it are not seen.
    pub outline: Vec<[f64; 2]>,
    /// Outlines of bulkheads, blocks of foam, pockets and sponsons.
    pub inside: Vec<Vec<[f64; 2]>>,
    /// Each opening's rim.
    pub rims: Vec<RimSeen>,
    /// Everything aboard that is named.
    pub things: Vec<ThingSeen>,
    /// Centre of gravity.
    pub centre_of_gravity: [f64; 2],
    /// Centre of buoyancy.
    pub centre_of_buoyancy: [f64; 2],
}

/// One opening's rim in a view.
#[derive(Debug, Clone, PartialEq)]
pub struct RimSeen {
    /// Its name.
    pub name: String,
    /// The rim as curves that end where they begin.
    pub loops: Vec<Vec<[f64; 2]>>,
    /// Its lowest point.
    pub sill: [f64; 2],
    /// Height of that above the water, m.
    pub freeboard_m: f64,
    /// What the yardstick says; `None` where no water comes in through it.
    pub verdict: Option<Verdict>,
    /// The yardstick's limits, m.
    pub limits_m: [f64; 2],
}

/// One thing aboard in a view.
#[derive(Debug, Clone, PartialEq)]
pub struct ThingSeen {
    /// Its name.
    pub name: String,
    /// Its mass, kg.
    pub mass_kg: f64,
    /// Its centre.
    pub at: [f64; 2],
}

/// The outline of a craft, its parts too, from starboard as x and z, boat frame, m: with
/// its true sheer, so that what lies in a well does not show.
#[must_use]
pub fn outline_from_side(boat: &Boat) -> Vec<[f64; 2]> {
    outline(boat, &|p| [p.x, p.z])
}

/// The same from above, as x and y.
#[must_use]
pub fn outline_from_above(boat: &Boat) -> Vec<[f64; 2]> {
    outline(boat, &|p| [p.x, p.y])
}

/// Outlines of the bulkheads and the blocks of foam inside a craft from starboard, as x and z,
/// boat frame, m.
#[must_use]
pub(in crate::study) fn inside_from_side(boat: &Boat) -> Vec<Vec<[f64; 2]>> {
    inside(boat, &|p| [p.x, p.z])
}

/// The same from above, as x and y.
#[must_use]
pub(in crate::study) fn inside_from_above(boat: &Boat) -> Vec<Vec<[f64; 2]>> {
    inside(boat, &|p| [p.x, p.y])
}

/// Outlines of what parts put inside the envelope: each bulkhead, seen edge on as a line, and
/// each block of foam; and of sponsons, skegs and pockets, each piece by itself.
fn inside(boat: &Boat, seen: &impl Fn(&Vec3) -> [f64; 2]) -> Vec<Vec<[f64; 2]>> {
    let bulkheads = boat.parts.iter().flat_map(|part| part.bulkheads());
    let bulkheads = bulkheads.map(|curve| curve.iter().map(seen).collect());
    let blocks = boat.parts.iter().filter_map(|part| part.block.as_ref());
    let blocks = blocks.map(|block| outline_of(&block.solid, seen));
    let on_skin = boat.parts.iter().filter(|part| part.is_on_skin);
    let on_skin = on_skin.flat_map(|part| {
        let pieces = pieces(&part.change).into_iter();
        let solids = pieces.map(|faces| {
            let mut solid = Surface {
                vertices: part.change.vertices.clone(),
                faces: faces.iter().map(|face| part.change.faces[*face]).collect(),
            };
            solid.drop_unused_vertices();
            solid
        });
        solids
            .map(|solid| outline_of(&solid, seen))
            .collect::<Vec<_>>()
    });
    bulkheads.chain(blocks).chain(on_skin).collect()
}

/// A craft at one moment in one view, for a strip of many. Points are `[right, up]`, m;
/// the water outside is at up = 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// As in a [`View`].
    pub outline: Vec<[f64; 2]>,
    /// Each opening's rim, as in a [`View`].
    pub rims: Vec<Vec<[f64; 2]>>,
    /// From where to where each of the spaces asked for reaches.
    pub spaces: Vec<[f64; 2]>,
}

/// A craft at a water plane from starboard and from astern, with the named compartments.
pub(in crate::study) fn shapes(boat: &Boat, plane: &WaterPlane, spaces: &[&str]) -> [Shape; 2] {
    let (forward, port) = axes(&plane.up);
    [forward, -port].map(|right| {
        let seen = |point: &Vec3| [right.dot(point), plane.height_m(point)];
        let reach = |name: &str| {
            let space = boat.compartments.iter().find(|space| space.name == name);
            let corners = space.map_or(&[][..], |space| &space.surface().vertices);
            least_and_most(corners.iter().map(|corner| right.dot(corner))).into()
        };
        let curves = boat.openings.iter().flat_map(|o| curves_of(boat, o));
        Shape {
            outline: outline(boat, &seen),
            rims: curves
                .map(|curve| curve.iter().map(seen).collect())
                .collect(),
            spaces: spaces.iter().map(|name| reach(name)).collect(),
        }
    })
}

/// Level forward and port of a craft whose up is this.
fn axes(up: &Vec3) -> (Vec3, Vec3) {
    let forward = Vec3::x() - up * up.x;
    let forward = if forward.norm() > NO_FORWARD {
        forward.normalize()
    } else {
        // Standing on its end: its bottom or deck is as good a forward as any.
        (Vec3::z() - up * up.z).normalize()
    };
    (forward, up.cross(&forward))
}

/// The pictures of a boat at rest, without what is named in `gone`.
pub(in crate::study) fn picture_at_rest(boat: &Boat, rest: &Rest, gone: &[String]) -> CraftPicture {
    let buoyancy = rest.immersion.centre_of_buoyancy_m().unwrap_or_default();
    let mut picture = picture(boat, rest.plane(), &rest.centre_of_gravity_m, &buoyancy);
    for view in [&mut picture.side, &mut picture.stern, &mut picture.above] {
        view.things.retain(|thing| !gone.contains(&thing.name));
    }
    picture
}

/// The pictures of a boat at a water plane, its centres in the boat frame, m.
fn picture(
    boat: &Boat,
    plane: &WaterPlane,
    centre_of_gravity_m: &Vec3,
    centre_of_buoyancy_m: &Vec3,
) -> CraftPicture {
    let up = plane.up;
    let (forward, port) = axes(&up);
    let view = |right: Vec3, upwards: Vec3, level: f64| {
        let seen = |point: &Vec3| [right.dot(point), upwards.dot(point) - level];
        View {
            outline: outline(boat, &seen),
            inside: inside(boat, &seen),
            rims: boat
                .openings
                .iter()
                .map(|opening| {
                    let sill = opening.sill_m(&up);
                    let freeboard_m = plane.height_m(&sill);
                    let judged = opening.lets_water_in();
                    RimSeen {
                        name: opening.name.clone(),
                        loops: curves_of(boat, opening)
                            .iter()
                            .map(|curve| curve.iter().map(seen).collect())
                            .collect(),
                        sill: seen(&sill),
                        freeboard_m,
                        verdict: judged.then(|| boat.yardsticks.sill.verdict(freeboard_m)),
                        limits_m: [&boat.yardsticks.sill.red, &boat.yardsticks.sill.green]
                            .map(|limit| limit.value),
                    }
                })
                .collect(),
            things: boat
                .aboard()
                .map(|entry| ThingSeen {
                    name: entry.name.clone(),
                    mass_kg: entry.mass_kg,
                    at: seen(&entry.centre_m),
                })
                .collect(),
            centre_of_gravity: seen(centre_of_gravity_m),
            centre_of_buoyancy: seen(centre_of_buoyancy_m),
        }
    };
    CraftPicture {
        side: view(forward, up, plane.level_m),
        stern: view(-port, up, plane.level_m),
        above: view(forward, port, 0.0),
    }
}

/// A rim as closed curves. That of an open edge is traced on the envelope. Points
/// on the skin round a cutter come in no order: they are taken round their middle
/// where that makes the shorter curve.
fn curves_of(boat: &Boat, opening: &Opening) -> Vec<Vec<Vec3>> {
    if let Some(cap) = opening.cap {
        return chained(&boat.envelope.rim_of(cap));
    }
    let given = opening.rim.clone();
    let middle = given.iter().sum::<Vec3>() / given.len().max(1) as f64;
    let spread = given.iter().fold(nalgebra::Matrix3::zeros(), |sum, point| {
        let off = point - middle;
        sum + off * off.transpose()
    });
    let axes = nalgebra::SymmetricEigen::new(spread);
    let (flat, _) = axes.eigenvalues.argmin();
    let [u, v] = [(flat + 1) % 3, (flat + 2) % 3].map(|k| axes.eigenvectors.column(k).into_owned());
    let mut round = given.clone();
    round.sort_by(|a, b| {
        let turn = |p: &Vec3| v.dot(&(p - middle)).atan2(u.dot(&(p - middle)));
        turn(a).total_cmp(&turn(b))
    });
    let length = |curve: &[Vec3]| {
        let next = curve.iter().skip(1).chain(curve.first());
        curve
            .iter()
            .zip(next)
            .map(|(a, b)| (b - a).norm())
            .sum::<f64>()
    };
    let mut shorter = if length(&round) < length(&given) {
        round
    } else {
        given
    };
    shorter.extend(shorter.first().copied());
    vec![shorter]
}

/// Edges that run on from one another, as curves.
fn chained(edges: &[[Vec3; 2]]) -> Vec<Vec<Vec3>> {
    let mut onward: HashMap<[u64; 3], Vec<usize>> = HashMap::new();
    for (number, [from, _]) in edges.iter().enumerate() {
        onward.entry(place_bits(from)).or_default().push(number);
    }
    let mut used = vec![false; edges.len()];
    let mut curves = Vec::new();
    for start in 0..edges.len() {
        if used[start] {
            continue;
        }
        let mut curve = vec![edges[start][0]];
        let mut next = Some(start);
        while let Some(edge) = next {
            used[edge] = true;
            curve.push(edges[edge][1]);
            let waiting = onward.get(&place_bits(&edges[edge][1]));
            next = waiting.and_then(|list| list.iter().copied().find(|edge| !used[*edge]));
        }
        curves.push(curve);
    }
    curves
}

/// The lowest and the highest point of the envelope on each of even lines across
/// a view, joined to one closed outline.
fn outline(boat: &Boat, seen: &impl Fn(&Vec3) -> [f64; 2]) -> Vec<[f64; 2]> {
    outline_of(&boat.envelope.surface, seen)
}

/// The same of any surface.
fn outline_of(surface: &Surface, seen: &impl Fn(&Vec3) -> [f64; 2]) -> Vec<[f64; 2]> {
    let flat: Vec<[f64; 2]> = surface.vertices.iter().map(seen).collect();
    let (lo, hi) = least_and_most(flat.iter().map(|p| p[0]));
    let step = (hi - lo) / OUTLINE_LINES as f64;
    if !step.is_finite() || step <= 0.0 {
        return Vec::new();
    }
    let mut reach = vec![(f64::INFINITY, f64::NEG_INFINITY); OUTLINE_LINES];
    for face in &surface.faces {
        for corner in 0..3 {
            let mut ends = [face[corner], face[(corner + 1) % 3]].map(|v| flat[v as usize]);
            if ends[0][0] > ends[1][0] {
                ends.swap(0, 1);
            }
            let [[x0, y0], [x1, y1]] = ends;
            // Line k stands at lo + (k + ½) step.
            let first = ((x0 - lo) / step - 0.5).ceil().max(0.0);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to a few hundred lines"
            )]
            let lines = reach.iter_mut().enumerate().skip(first as usize);
            for (number, (low, high)) in lines {
                let x = lo + (number as f64 + 0.5) * step;
                if x > x1 {
                    break;
                }
                let share = if x1 > x0 { (x - x0) / (x1 - x0) } else { 0.0 };
                let y = y0 + share * (y1 - y0);
                *low = low.min(y);
                *high = high.max(y);
            }
        }
    }
    let points = |pick: fn(&(f64, f64)) -> f64| {
        reach
            .iter()
            .enumerate()
            .filter(|(_, reach)| reach.0 <= reach.1)
            .map(move |(number, reach)| [lo + (number as f64 + 0.5) * step, pick(reach)])
            .collect::<Vec<_>>()
    };
    let below = points(|reach| reach.0);
    let over = points(|reach| reach.1);
    below.into_iter().chain(over.into_iter().rev()).collect()
}
