//! The open hull in many more triangles.
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

/// A file of the tests' boats.
pub(crate) fn boats(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/boats")
        .join(name)
}

/// Writes the hull with each triangle split into `n²`, and gives their count.
/// Points along an edge are rounded alike from both of its sides: they weld.
#[expect(
    clippy::cast_possible_truncation,
    reason = "STL holds single precision"
)]
pub(crate) fn split_hull(to: &Path, n: u32) -> usize {
    let hull =
        awash::mesh::read_mesh(&awash::files::Disk, &boats("hull.stl")).expect("the open hull");
    let count = hull.triangles().len() * (n * n) as usize;
    let mut file = BufWriter::new(File::create(to).expect("a new file"));
    let mut put = |bytes: &[u8]| file.write_all(bytes).expect("room on the disk");
    put(&[b' '; 80]);
    put(&u32::try_from(count).expect("fits an STL").to_le_bytes());
    for [a, b, c] in &hull.triangles() {
        let point = |i: u32, j: u32| {
            let weights = [n - i - j, i, j].map(f64::from);
            [0, 1, 2].map(|axis| {
                let sum = weights[0] * a[axis] + weights[1] * b[axis] + weights[2] * c[axis];
                (sum / f64::from(n)) as f32
            })
        };
        let mut facet = |corners: [[f32; 3]; 3]| {
            put(&[0; 12]);
            for value in corners.iter().flatten() {
                put(&value.to_le_bytes());
            }
            put(&[0; 2]);
        };
        for i in 0..n {
            for j in 0..n - i {
                facet([point(i, j), point(i + 1, j), point(i, j + 1)]);
                if i + j + 1 < n {
                    facet([point(i + 1, j), point(i + 1, j + 1), point(i, j + 1)]);
                }
            }
        }
    }
    file.flush().expect("room on the disk");
    count
}
