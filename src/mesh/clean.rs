//! Which faces of a surface do more harm than good.
use super::check::SPECK_SHARE;
use super::doubt::{Doubt, DoubtKind};
use super::surface::Surface;
use super::survey::{Survey, is_open};
use super::topology::{BRANCHING, NO_SHELL, Topology, repeats_vertex};
use crate::quantity::{metres, sentence};

/// Decides which faces stay; `None` when all do.
pub(super) fn faces_to_keep(
    surface: &Surface,
    topology: &Topology,
    survey: &Survey,
    doubts: &mut Vec<Doubt>,
) -> Option<Vec<bool>> {
    let mut keep: Vec<bool> = surface.faces.iter().map(|f| !repeats_vertex(f)).collect();
    let repeated = keep.iter().filter(|k| !**k).count();
    if repeated > 0 {
        doubts.push(removed(repeated, "have the same corner twice"));
    }
    drop_duplicates(surface, survey, &mut keep, doubts);
    let flat = drop_flat(topology, survey, &mut keep);
    if flat > 0 {
        doubts.push(removed(flat, "have no area and hold nothing together"));
    }
    drop_specks(topology, survey, &mut keep, doubts);
    keep.contains(&false).then_some(keep)
}

fn removed(count: usize, why: &str) -> Doubt {
    Doubt::new(
        DoubtKind::RemovedFaces,
        format!("{count} facets {why} and were removed"),
    )
}

/// Of equal faces the first stays, except where two of opposite sense meet: a
/// wall without thickness, which encloses nothing and is cleaner gone. But in
/// a file that has (nearly) all its faces both ways round, one of each stays.
fn drop_duplicates(surface: &Surface, survey: &Survey, keep: &mut [bool], doubts: &mut Vec<Doubt>) {
    if survey.duplicates.is_empty() {
        return;
    }
    let opposite = |a: u32, b: u32| {
        let (a, b) = (surface.faces[a as usize], surface.faces[b as usize]);
        let first = b.iter().position(|v| *v == a[0]).unwrap_or(0);
        a[1] != b[(first + 1) % 3]
    };
    let walls: Vec<u32> = survey
        .duplicates
        .chunk_by(|a, b| a.1 == b.1)
        .filter(|same| same.len() == 1 && opposite(same[0].0, same[0].1))
        .map(|same| same[0].1)
        .collect();
    let both_ways = 4 * walls.len() > surface.faces.len();
    for (face, _) in &survey.duplicates {
        keep[*face as usize] = false;
    }
    doubts.push(removed(survey.duplicates.len(), "are there twice"));
    if !both_ways && !walls.is_empty() {
        for face in &walls {
            keep[*face as usize] = false;
        }
        doubts.push(removed(
            walls.len(),
            "were one side of a wall without thickness",
        ));
    }
}

/// A face without area still closes the surface where its neighbours meet it,
/// so it goes only where it stands alone or makes an edge branch.
fn drop_flat(topology: &Topology, survey: &Survey, keep: &mut [bool]) -> usize {
    let mut count = 0;
    for &face in &survey.flat {
        let mates = [0, 1, 2].map(|k| topology.mate[3 * face as usize + k]);
        let alone = (0..3).all(|k| is_open(topology, 3 * face + k));
        if keep[face as usize] && (alone || mates.contains(&BRANCHING)) {
            keep[face as usize] = false;
            count += 1;
        }
    }
    count
}

/// Loose open specks and single facets enclose nothing, yet each would become
/// an opening.
fn drop_specks(topology: &Topology, survey: &Survey, keep: &mut [bool], doubts: &mut Vec<Doubt>) {
    let examination = &survey.examination;
    let limit_m = SPECK_SHARE * examination.diagonal_m;
    let branches: Vec<bool> = {
        let mut flags = vec![false; topology.shells];
        for h in topology.branching.iter().flat_map(|b| &b.half_edges) {
            let shell = topology.shell[(*h / 3) as usize];
            if let Some(flag) = flags.get_mut(shell as usize) {
                *flag = true;
            }
        }
        flags
    };
    let is_speck: Vec<bool> = examination
        .shells
        .iter()
        .zip(branches)
        .map(|(s, branches)| !s.closed && !branches && (s.faces == 1 || s.diagonal_m() < limit_m))
        .collect();
    let specks = is_speck.iter().filter(|s| **s).count();
    let faces: usize = examination
        .shells
        .iter()
        .zip(&is_speck)
        .filter(|(_, speck)| **speck)
        .map(|(s, _)| s.faces)
        .sum();
    if specks == 0 {
        return;
    }
    if 2 * faces > keep.len() {
        doubts.push(Doubt::new(
            DoubtKind::Specks,
            format!("most of the mesh is {specks} loose scraps: it is not one surface; export it again with its vertices merged"),
        ));
        return;
    }
    for (face, &shell) in topology.shell.iter().enumerate() {
        if shell != NO_SHELL && is_speck[shell as usize] {
            keep[face] = false;
        }
    }
    doubts.push(Doubt::new(
        DoubtKind::Specks,
        sentence![
            format!("{specks} loose scraps, open and smaller than "),
            metres(limit_m, 3),
            format!(" or single facets, were removed ({faces} facets)")
        ],
    ));
}
