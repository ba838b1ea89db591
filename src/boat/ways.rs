//! Ways for water: the space that an opening leads to, and holes in bulkheads.
use super::compartment::Compartment;
use super::file::{self, BoatFile, Extent, point_m};
use super::opening::{Opening, OpeningOver, clipped};
use super::rim::edges_of_rim;
use crate::mesh::{Doubt, DoubtKind};
use crate::numerics::Vec3;

/// Edges that a rim is taken with where spaces under it are looked for: a scanned rim has
/// thousands, and each look may go over a space's whole mesh.
const MOST_RIM_EDGES: usize = 64;
/// Share of an opening over another space from which that is told.
pub(super) const NOTICED_SHARE: f64 = 0.05;
/// Narrower than this a hole hardly lets water pass, m: √(σ/ρg), over which surface
/// tension matters.
pub(super) const NARROWEST_M: f64 = 0.0027;
/// Less of an opening over a space than a round hole of that width is no way for water, m².
const LEAST_WAY_M2: f64 = std::f64::consts::FRAC_PI_4 * NARROWEST_M * NARROWEST_M;
/// Corners of the ring that stands for a round hole in a bulkhead.
const RING_CORNERS: u32 = 24;

/// Where the water of an opening goes: the compartment whose bulkheads its middle
/// lies between, or the one that encloses a point a little way in. A rim that
/// reaches past a sealed space floods the one beside it that lies under most of it:
/// `under` is the shares of [`parts_over`], here and below.
pub(super) fn nearest_space(
    compartments: &[Compartment],
    file: &BoatFile,
    rim: &[Vec3],
    under: &[f64],
) -> Option<usize> {
    let count = f64::from(u32::try_from(rim.len()).ok()?);
    let middle = rim.iter().sum::<Vec3>() / count;
    let nearest = nearest_to(compartments, file, &middle)?;
    if !compartments[nearest].sealed {
        return Some(nearest);
    }
    let open = (0..compartments.len()).filter(|&k| !compartments[k].sealed && under[k] > 0.0);
    open.max_by(|&a, &b| under[a].total_cmp(&under[b]))
        .or(Some(nearest))
}

/// The sealed space that an opening is a hole into. A hole that is cut may not reach over
/// one, wherever its water is said to go. An open edge, a wall's top or a rim by tape may,
/// for the mesh does not have the sealed space's own top: where it lies over another space
/// too, or where the file says that its water goes on to another.
pub(super) fn sealed_under(
    compartments: &[Compartment],
    under: &[f64],
    opening: &Opening,
    given: Option<&file::Opening>,
) -> Option<usize> {
    let said = opening.floods.filter(|&space| compartments[space].sealed);
    if said.is_some() || compartments.iter().all(|space| !space.sealed) {
        return said;
    }
    let is_cut = opening.cap.is_none() && given.is_some_and(|given| given.rim.is_none());
    let open: f64 = (0..under.len())
        .filter(|&k| !compartments[k].sealed)
        .map(|k| under[k])
        .sum();
    let is_said = given.is_some_and(|given| given.floods.is_some());
    let may_not = is_cut || (open <= NOTICED_SHARE && !is_said);
    (0..under.len()).find(|&k| may_not && compartments[k].sealed && under[k] > NOTICED_SHARE)
}

/// An opening over several spaces floods each of them by the share that lies over it,
/// unless the file says which one.
pub(super) fn over_several(
    compartments: &[Compartment],
    parts: &[OpeningOver],
    opening: &mut Opening,
    is_told: bool,
) -> Option<Doubt> {
    let floods = opening.floods?;
    if is_told && parts[floods].share <= NOTICED_SHARE {
        return None; // `sense` says that it lies elsewhere
    }
    // However small a share: water that comes in there goes nowhere else.
    let is_a_way = |k: usize| parts[k].area_m2() > LEAST_WAY_M2;
    let counts = |k: &usize| *k == floods || (!compartments[*k].sealed && is_a_way(*k));
    let spaces: Vec<usize> = (0..compartments.len()).filter(counts).collect();
    if spaces.len() < 2 {
        return None;
    }
    let all: f64 = spaces.iter().map(|&k| parts[k].share).sum();
    let others = spaces.into_iter().filter(|&k| k != floods);
    let over = std::iter::once(floods).chain(others).map(|k| OpeningOver {
        share: parts[k].share / all,
        ..parts[k].clone()
    });
    let over: Vec<OpeningOver> = over.collect();
    let told = |(space, share): (usize, f64)| {
        let percent = 100.0 * share;
        let decimals = usize::from(percent < 10.0);
        format!("{percent:.decimals$} % over {}", compartments[space].name)
    };
    let text = if is_told {
        let also = over[1..].iter().map(|over| told((over.space, over.share)));
        let also: Vec<String> = also.collect();
        format!(
            "opening \"{}\" also lies {}, but its `floods` sends all its water into {}: leave `floods` out if nothing keeps water out of there",
            opening.name,
            also.join(" and "),
            compartments[floods].name
        )
    } else {
        opening.over = over;
        let shares: Vec<String> = opening.spaces().map(told).collect();
        format!(
            "opening \"{}\" lies {}: each is flooded through what lies over it; if a wall keeps water out of one, say with `floods` where it goes",
            opening.name,
            shares.join(" and ")
        )
    };
    Some(Doubt::new(DoubtKind::Part, text))
}

/// What of an opening lies over each space: the triangles from its middle to its rim, and
/// the rim, cut at every bulkhead. Over a space given by a mesh each piece counts whole, and
/// a long rim is taken with fewer corners.
pub(super) fn parts_over(
    compartments: &[Compartment],
    file: &BoatFile,
    rim: &[Vec3],
) -> Vec<OpeningOver> {
    let mut parts: Vec<OpeningOver> = (0..compartments.len())
        .map(|space| OpeningOver {
            space,
            share: 0.0,
            edges: Vec::new(),
            triangles: Vec::new(),
        })
        .collect();
    let extents = || file.compartments.iter().map(|space| &space.extent);
    let by_mesh = extents().any(|extent| matches!(extent, Extent::Mesh { .. } | Extent::Under(_)));
    let (edges, _) = edges_of_rim(rim);
    let most = if by_mesh { MOST_RIM_EDGES } else { usize::MAX };
    let stride = edges.len().div_ceil(most).max(1);
    let edges: Vec<[Vec3; 2]> = edges
        .chunks(stride)
        .map(|run| [run[0][0], run[run.len() - 1][1]])
        .collect();
    let middle = edges.iter().map(|[a, _]| a).sum::<Vec3>() / edges.len().max(1) as f64;
    let areas_m2 = edges.iter().map(|[a, b]| area_vector_m2(&[middle, *a, *b]));
    let square: Vec3 = areas_m2.sum();
    let Some(square) = square.try_normalize(0.0) else {
        return parts;
    };
    let mut all_m2 = 0.0;
    let planes: Vec<(Vec3, f64)> = extents()
        .flat_map(Extent::planes)
        .map(|(_, axis, plane)| (Vec3::ith(axis, 1.0), plane.value))
        .collect();
    for edge in &edges {
        let [a, b] = edge;
        for piece in fourths([middle, *a, *b]) {
            for piece in planes.iter().fold(vec![piece], parted) {
                let centre = piece.iter().sum::<Vec3>() / piece.len() as f64;
                let area_m2 = area_vector_m2(&piece).dot(&square);
                all_m2 += area_m2;
                if let Some(space) = space_at(compartments, file, &centre) {
                    let part = &mut parts[space];
                    part.share += area_m2;
                    let fan = (2..piece.len()).map(|k| [piece[0], piece[k - 1], piece[k]]);
                    part.triangles.extend(fan);
                }
            }
        }
        for [a, b] in planes.iter().fold(vec![*edge], parted_edge) {
            if let Some(space) = space_at(compartments, file, &((a + b) / 2.0)) {
                parts[space].edges.push([a, b]);
            }
        }
    }
    for part in &mut parts {
        part.share /= all_m2;
    }
    parts
}

/// Stretches, each in two where a plane goes through it.
fn parted_edge(edges: Vec<[Vec3; 2]>, (normal, offset): &(Vec3, f64)) -> Vec<[Vec3; 2]> {
    let halves = |[a, b]: [Vec3; 2]| {
        let [from, to] = [a, b].map(|point| normal.dot(&point) - offset);
        if from * to < 0.0 {
            let cut = a + (b - a) * (from / (from - to));
            vec![[a, cut], [cut, b]]
        } else {
            vec![[a, b]]
        }
    };
    edges.into_iter().flat_map(halves).collect()
}

/// Along the normal of a convex polygon, as long as its area.
fn area_vector_m2(corners: &[Vec3]) -> Vec3 {
    let from = |k: usize| corners[k] - corners[0];
    (2..corners.len())
        .map(|k| from(k - 1).cross(&from(k)) / 2.0)
        .sum()
}

/// A triangle in four by the middles of its sides.
fn fourths([a, b, c]: [Vec3; 3]) -> [Vec<Vec3>; 4] {
    let [ab, bc, ca] = [(a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0];
    [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]].map(|corners| corners.to_vec())
}

/// Convex pieces, each in two where a plane goes through it.
fn parted(pieces: Vec<Vec<Vec3>>, (normal, offset): &(Vec3, f64)) -> Vec<Vec<Vec3>> {
    let halves = |piece: Vec<Vec3>| {
        [
            clipped(&piece, normal, *offset),
            clipped(&piece, &-normal, -offset),
        ]
    };
    let cut = pieces.into_iter().flat_map(halves);
    cut.filter(|piece| piece.len() > 2).collect()
}

/// The compartment that a point of the skin belongs to, or the first where it belongs
/// to none.
fn nearest_to(compartments: &[Compartment], file: &BoatFile, point: &Vec3) -> Option<usize> {
    space_at(compartments, file, point).or_else(|| (!compartments.is_empty()).then_some(0))
}

/// The compartment that a point of the skin belongs to.
fn space_at(compartments: &[Compartment], file: &BoatFile, point: &Vec3) -> Option<usize> {
    let extent = |space: &Compartment| {
        let given = file.compartments.iter().find(|c| c.name == space.name);
        given.map_or(&Extent::Rest, |given| &given.extent)
    };
    let within = |space: &Compartment| match extent(space) {
        Extent::Rest => false,
        Extent::Between { lower, upper } => (0..3).all(|axis| {
            lower[axis].is_none_or(|lower| point[axis] >= lower.value)
                && upper[axis].is_none_or(|upper| point[axis] <= upper.value)
        }),
        Extent::Mesh { .. } | Extent::Under(_) => {
            // A twentieth of the way to its middle is inside a wall's depth.
            let inward = space.surface().volume_centroid_m() - point;
            space.encloses(&(point + inward / 20.0))
        }
    };
    let rest = |space: &Compartment| matches!(extent(space), Extent::Rest);
    compartments
        .iter()
        .position(within)
        .or_else(|| compartments.iter().position(rest))
}

/// A hole's rim: round, in the bulkhead plane that lies nearest.
pub(super) fn ring(passage: &file::Passage, file: &BoatFile) -> Vec<Vec3> {
    let at = point_m(&passage.at);
    let axis = file
        .compartments
        .iter()
        .filter(|c| passage.between.contains(&c.name))
        .flat_map(|c| c.extent.planes())
        .map(|(_, axis, plane)| (axis, plane.value))
        .min_by(|(a, p), (b, q)| (at[*a] - p).abs().total_cmp(&(at[*b] - q).abs()))
        .map_or(0, |(axis, _)| axis);
    let (first, second) = ((axis + 1) % 3, (axis + 2) % 3);
    let angle = std::f64::consts::TAU / f64::from(RING_CORNERS);
    // The ring's own area is the hole's.
    let radius = (2.0 * passage.area_m2 / (f64::from(RING_CORNERS) * angle.sin())).sqrt();
    (0..RING_CORNERS)
        .map(|k| {
            let (sin, cos) = (angle * f64::from(k)).sin_cos();
            let mut corner = at;
            corner[first] += radius * cos;
            corner[second] += radius * sin;
            corner
        })
        .collect()
}
