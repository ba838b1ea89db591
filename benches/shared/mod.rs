//! What the benchmarks share: the open hull made finer, and a stopwatch.
use std::path::Path;
use std::time::Instant;

use awash::boat::read_mesh;
use awash::mesh::Surface;
use awash::numerics::Vec3;

/// The open hull in metres, open at the top, each triangle split into
/// `splits`² of equal area.
pub(crate) fn split_hull(splits: u32) -> Surface {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats/hull.stl");
    let coarse = read_mesh(&awash::files::Disk, &path, Some(0.001), true)
        .expect("the open hull is there")
        .surface;
    let mut fine = Surface::default();
    for face in 0..coarse.faces.len() {
        let corners = coarse.faces[face];
        // The same sum, in the same order, from both faces of an edge.
        let point = |weights: [u32; 3]| {
            let mut terms: Vec<(u32, u32)> = corners.into_iter().zip(weights).collect();
            terms.sort_unstable();
            terms.iter().fold(Vec3::zeros(), |sum, &(vertex, weight)| {
                sum + coarse.vertices[vertex as usize] * (f64::from(weight) / f64::from(splits))
            })
        };
        let mut add = |triangle: [[u32; 3]; 3]| {
            let first = u32::try_from(fine.vertices.len()).expect("indices fit");
            fine.vertices.extend(triangle.map(point));
            fine.faces.push([first, first + 1, first + 2]);
        };
        for i in 0..splits {
            for j in 0..splits - i {
                let k = splits - i - j;
                add([[k, i, j], [k - 1, i + 1, j], [k - 1, i, j + 1]]);
                if k > 1 {
                    add([[k - 1, i + 1, j], [k - 2, i + 1, j + 1], [k - 1, i, j + 1]]);
                }
            }
        }
    }
    fine
}

/// Middle of the times of some runs, s.
#[allow(dead_code, reason = "not every bench uses it")]
pub(crate) fn median(runs: usize, mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}
