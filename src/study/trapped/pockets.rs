//! Pockets: what cannot rise out of the inside.
use std::cmp::Ordering;
use std::collections::{BTreeMap, BinaryHeap, HashMap};

use super::nodes::{Inside, Stretch};
use super::standing::Standing;
use crate::boat::Boat;
use crate::immersion::{MomentTree, WaterPlane};
use crate::mesh::{Columns, Surface};
use crate::numerics::Vec3;

/// How far from the grid's volume the exact one may be before the grid's is
/// kept: the grid errs by about a cell along the pocket's edge.
const AGREES_SHARE: f64 = 0.05;
/// Pockets smaller than this are left as counted, m³.
const LEAST_EXACT_M3: f64 = 2e-5;
/// Parts of a space with no way out that are smaller are the grid's: slivers along
/// its edge, m³.
const LEAST_CLOSED_M3: f64 = 1e-3;
/// Pieces of surface over a pocket's level that are told apart at most.
const MOST_PIECES: usize = 64;
/// How near two heights must be to be one crossing, m.
const SAME_M: f64 = 1e-9;

/// Space that cannot rise out.
#[derive(Debug, Clone)]
pub(super) struct Pocket {
    /// What air or water fills of it, m³: skins and what stands in it taken off.
    pub(super) volume_m3: f64,
    /// Whether that is integrated from the mesh; else counted in columns.
    pub(super) is_exact: bool,
    /// Height along the vertical at which it spills, m.
    pub(super) level_m: f64,
    /// Its highest point, boat frame, m.
    pub(super) highest_m: Vec3,
    /// The opening that what spills leaves by.
    pub(super) opening: Option<usize>,
    /// Compartments that it lies in.
    pub(super) compartments: Vec<usize>,
}

/// The highest height by which each stretch can be left, and the opening it leads
/// to.
#[derive(Debug, Clone, Copy)]
struct Way {
    height: f64,
    opening: Option<usize>,
}

#[derive(Debug, Clone, Copy)]
struct Reached {
    height: f64,
    stretch: u32,
    opening: usize,
}

impl PartialEq for Reached {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Reached {}
impl PartialOrd for Reached {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Reached {
    fn cmp(&self, other: &Self) -> Ordering {
        self.height
            .total_cmp(&other.height)
            .then(other.stretch.cmp(&self.stretch))
    }
}

/// What was found of a boat's inside.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// Largest first.
    pub(super) pockets: Vec<Pocket>,
    /// Numbers of the compartments of which a part, larger than [`LEAST_CLOSED_M3`],
    /// has no way to an opening: no water gets in there.
    pub(super) closed: Vec<usize>,
    /// Side of the columns, m.
    pub(super) cell_m: f64,
}

/// All pockets of a boat's inside when `up` is the vertical. What no way leads to is
/// none.
///
/// Something light fills the inside from the top down and leaves a place by the
/// way whose lowest point is highest (the widest path, by Dijkstra's search from
/// the openings; Pollack, Operations Research 8, 1960; from memory). What lies
/// over that lowest point is caught.
pub(super) fn pockets(boat: &Boat, up: &Vec3) -> Found {
    let Some(inside) = Inside::of(boat, up) else {
        return Found::default();
    };
    let ways = ways_out(&inside, boat);
    let standing = Standing::of(&inside, boat);
    let mut pockets: Vec<Pocket> = groups(&inside, &ways, boat)
        .iter()
        .map(|group| pocket(&inside, group, &ways, &standing, boat))
        .collect();
    pockets.sort_by(|a, b| b.volume_m3.total_cmp(&a.volume_m3));
    Found {
        pockets,
        closed: closed(&inside, &ways, boat),
        cell_m: inside.grid.cell_m(),
    }
}

/// Compartments of which a part has no way out.
fn closed(inside: &Inside, ways: &[Way], boat: &Boat) -> Vec<usize> {
    let cell_m2 = inside.grid.cell_m().powi(2);
    let mut closed_m3 = vec![0.0; boat.compartments.len()];
    for (stretch, way) in inside.stretches.iter().zip(ways) {
        if !way.height.is_finite() {
            closed_m3[usize::from(stretch.compartment)] += (stretch.top - stretch.bottom) * cell_m2;
        }
    }
    let large = |space: &usize| closed_m3[*space] > LEAST_CLOSED_M3;
    (0..closed_m3.len()).filter(large).collect()
}

fn ways_out(inside: &Inside, boat: &Boat) -> Vec<Way> {
    let none = Way {
        height: f64::NEG_INFINITY,
        opening: None,
    };
    let mut ways = vec![none; inside.stretches.len()];
    let mut through: HashMap<u32, Vec<(u32, f64)>> = HashMap::new();
    for (a, b, height) in inside.passages(boat) {
        through.entry(a).or_default().push((b, height));
        through.entry(b).or_default().push((a, height));
    }
    let mut queue: BinaryHeap<Reached> = inside
        .exits(boat)
        .into_iter()
        .map(|(stretch, exit)| Reached {
            height: exit.height,
            stretch,
            opening: exit.opening,
        })
        .collect();
    while let Some(reached) = queue.pop() {
        let way = &mut ways[reached.stretch as usize];
        if way.height >= reached.height {
            continue;
        }
        *way = Way {
            height: reached.height,
            opening: Some(reached.opening),
        };
        let bulkheads = through.get(&reached.stretch).into_iter().flatten().copied();
        for (next, shared) in inside.beside(reached.stretch).chain(bulkheads) {
            let height = reached.height.min(shared);
            if ways[next as usize].height < height {
                queue.push(Reached {
                    height,
                    stretch: next,
                    opening: reached.opening,
                });
            }
        }
    }
    ways
}

/// Height over which a stretch is caught; `None` where nothing of it is, as where no
/// way leads in.
fn caught_over(stretch: &Stretch, way: &Way) -> Option<f64> {
    let over = stretch.bottom.max(way.height);
    (way.height.is_finite() && stretch.top > over).then_some(over)
}

/// Stretches whose caught parts touch.
fn groups(inside: &Inside, ways: &[Way], boat: &Boat) -> Vec<Vec<u32>> {
    let over = |stretch: u32| {
        let i = stretch as usize;
        caught_over(&inside.stretches[i], &ways[i])
    };
    let mut through: HashMap<u32, Vec<(u32, f64)>> = HashMap::new();
    for (a, b, height) in inside.passages(boat) {
        through.entry(a).or_default().push((b, height));
        through.entry(b).or_default().push((a, height));
    }
    let mut seen = vec![false; inside.stretches.len()];
    let mut groups = Vec::new();
    for first in 0..u32::try_from(inside.stretches.len()).unwrap_or(u32::MAX) {
        if seen[first as usize] || over(first).is_none() {
            continue;
        }
        seen[first as usize] = true;
        let mut group = vec![first];
        let mut next = 0;
        while next < group.len() {
            let here = group[next];
            next += 1;
            let Some(mine) = over(here) else { continue };
            let bulkheads = through.get(&here).into_iter().flatten().copied();
            for (other, shared) in inside.beside(here).chain(bulkheads) {
                let touches = over(other).is_some_and(|theirs| shared > mine.max(theirs));
                if touches && !seen[other as usize] {
                    seen[other as usize] = true;
                    group.push(other);
                }
            }
        }
        groups.push(group);
    }
    groups
}

/// What lies less than this under a ceiling's highest counts as part of it, m.
const CEILING_WITHIN_M: f64 = 1e-3;
/// Places whose distances differ by less are alike, m.
const ALIKE_M: f64 = 1e-6;

fn pocket(
    inside: &Inside,
    group: &[u32],
    ways: &[Way],
    standing: &[Standing],
    boat: &Boat,
) -> Pocket {
    let cell_m2 = inside.grid.cell_m().powi(2);
    let mut counted_m3: BTreeMap<usize, f64> = BTreeMap::new();
    let mut top_m = f64::NEG_INFINITY;
    let mut way = ways[group[0] as usize];
    let mut caught: HashMap<u32, Vec<[f64; 2]>> = HashMap::new();
    for &stretch in group {
        let i = stretch as usize;
        let here = inside.stretches[i];
        if let Some(over) = caught_over(&here, &ways[i]) {
            *counted_m3.entry(usize::from(here.compartment)).or_default() +=
                (here.top - over) * cell_m2;
            caught
                .entry(here.column)
                .or_default()
                .push([over, here.top]);
        }
        top_m = top_m.max(here.top);
        if ways[i].height > way.height {
            way = ways[i];
        }
    }
    let level_m = way.height;
    let all_m3: f64 = counted_m3.values().sum();
    let exact_m3 = (all_m3 >= LEAST_EXACT_M3)
        .then(|| {
            let exact = |&space: &usize| Some((space, exact_m3(inside, group, space, level_m)?));
            counted_m3
                .keys()
                .map(exact)
                .collect::<Option<BTreeMap<_, _>>>()
        })
        .flatten()
        .filter(|exact| {
            let exact_m3: f64 = exact.values().sum();
            (exact_m3 - all_m3).abs() <= AGREES_SHARE * all_m3
        });
    let is_exact = exact_m3.is_some();
    let whole_m3 = exact_m3.unwrap_or(counted_m3);
    let volume_m3: f64 = whole_m3
        .iter()
        .map(|(&space, whole_m3)| {
            let here = standing.iter().filter(|thing| thing.compartment == space);
            let taken_m3: f64 = here.map(|thing| thing.within_m3(&caught, level_m)).sum();
            (boat.compartments[space].permeability * whole_m3 - taken_m3).max(0.0)
        })
        .sum();
    Pocket {
        volume_m3,
        is_exact,
        level_m,
        highest_m: vent_m(inside, group, top_m),
        opening: way.opening,
        compartments: whole_m3.into_keys().collect(),
    }
}

/// Where a vent empties the pocket: of what lies as high as its highest, the place nearest
/// to the middle, so that of a level ceiling it is no corner; m.
fn vent_m(inside: &Inside, group: &[u32], top_m: f64) -> Vec3 {
    let stretches = group
        .iter()
        .map(|&stretch| inside.stretches[stretch as usize]);
    let high = stretches.filter(|here| here.top >= top_m - CEILING_WITHIN_M);
    let high: Vec<Vec3> = high
        .map(|here| inside.point_m(here.column, here.top))
        .collect();
    let middle = high.iter().sum::<Vec3>() / high.len().max(1) as f64;
    // Of places alike the foremost, then that to port: rounding must not choose.
    let off = |at: &Vec3| ((at - middle).norm() / ALIKE_M).round();
    let key = |at: &Vec3| [off(at), -at.x, -at.y];
    let nearest = high
        .into_iter()
        .min_by(|a, b| key(a).partial_cmp(&key(b)).unwrap_or(Ordering::Equal));
    nearest.unwrap_or_default()
}

/// Volume over the level within the pieces of a compartment's surface that bound
/// the group, m³. Tetrahedra with their apex on the level's plane need no lid.
fn exact_m3(inside: &Inside, group: &[u32], compartment: usize, level: f64) -> Option<f64> {
    let surface = inside.surfaces[compartment].as_ref()?;
    let pieces = pieces_over(surface, level);
    if pieces.len() > MOST_PIECES {
        return None;
    }
    let tops: HashMap<u32, Vec<f64>> = group.iter().fold(HashMap::new(), |mut tops, &stretch| {
        let here = inside.stretches[stretch as usize];
        if usize::from(here.compartment) == compartment {
            let ends: &mut Vec<f64> = tops.entry(here.column).or_default();
            ends.extend([here.top, here.bottom]);
        }
        tops
    });
    let bounds_group = |piece: &Surface| {
        let columns = Columns::cast(piece, &inside.grid);
        tops.iter().any(|(column, ends)| {
            columns.crossings(*column as usize).any(|(z, _)| {
                ends.iter()
                    .any(|end| z > level && (end - z).abs() <= SAME_M)
            })
        })
    };
    let chosen: Vec<&Surface> = if pieces.len() == 1 {
        pieces.iter().collect()
    } else {
        pieces.iter().filter(|piece| bounds_group(piece)).collect()
    };
    let plane = over(level);
    let volume = |piece: &&Surface| MomentTree::new(piece, &[]).immerse(&plane).volume_m3;
    Some(chosen.iter().map(volume).sum())
}

/// The plane whose wet side is all that lies over a level, the vertical turned to z.
pub(super) fn over(level_m: f64) -> WaterPlane {
    WaterPlane {
        up: -Vec3::z(),
        level_m: -level_m,
    }
}

/// The faces that reach over a level, in pieces joined by vertices over it.
fn pieces_over(surface: &Surface, level: f64) -> Vec<Surface> {
    let over = |vertex: u32| surface.vertices[vertex as usize].z > level;
    let mut root: Vec<u32> = (0..).take(surface.vertices.len()).collect();
    let find = |root: &mut Vec<u32>, mut v: u32| {
        while root[v as usize] != v {
            root[v as usize] = root[root[v as usize] as usize];
            v = root[v as usize];
        }
        v
    };
    for face in &surface.faces {
        let high: Vec<u32> = face.iter().copied().filter(|v| over(*v)).collect();
        for pair in high.windows(2) {
            let [a, b] = [pair[0], pair[1]].map(|v| find(&mut root, v));
            root[a as usize] = b;
        }
    }
    let mut pieces: HashMap<u32, Vec<[u32; 3]>> = HashMap::new();
    for face in &surface.faces {
        if let Some(high) = face.iter().copied().find(|v| over(*v)) {
            pieces.entry(find(&mut root, high)).or_default().push(*face);
        }
    }
    let mut pieces: Vec<Surface> = pieces
        .into_values()
        .map(|faces| {
            let mut piece = Surface {
                vertices: surface.vertices.clone(),
                faces,
            };
            piece.drop_unused_vertices();
            piece
        })
        .collect();
    pieces.sort_by_key(|piece| std::cmp::Reverse(piece.faces.len()));
    pieces
}
