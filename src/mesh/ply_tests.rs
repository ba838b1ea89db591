use super::*;

fn header(format: &str, vertices: usize, faces: usize) -> String {
    format!(
        "ply\nformat {format} 1.0\ncomment made by hand\nelement vertex {vertices}\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nelement face {faces}\nproperty list uchar int vertex_indices\nend_header\n"
    )
}

/// A unit square, red 7, as one quad and one triangle.
fn square(format: &str) -> Vec<u8> {
    let mut bytes = header(format, 4, 2).into_bytes();
    let places = [
        [0.0_f32, 0.0, 0.0],
        [1.0, 0.0, 0.0],
        [1.0, 1.0, 0.0],
        [0.0, 1.0, 0.0],
    ];
    let faces: [&[i32]; 2] = [&[0, 1, 2, 3], &[2, 1, 0]];
    if format == "ascii" {
        for [x, y, z] in places {
            bytes.extend(format!("{x} {y} {z} 7\n").bytes());
        }
        bytes.extend(b"4 0 1 2 3\n3 2 1 0");
        return bytes;
    }
    let big = format == "binary_big_endian";
    for place in places {
        for v in place {
            bytes.extend(if big {
                v.to_be_bytes()
            } else {
                v.to_le_bytes()
            });
        }
        bytes.push(7);
    }
    for face in faces {
        bytes.push(u8::try_from(face.len()).unwrap());
        for v in face {
            bytes.extend(if big {
                v.to_be_bytes()
            } else {
                v.to_le_bytes()
            });
        }
    }
    bytes
}

#[test]
fn text_and_both_binary_orders_read_alike() {
    let text = parse_ply(&square("ascii")).unwrap();
    assert_eq!(text.triangles().len(), 3);
    assert_eq!(
        text.triangles()[2],
        [[1.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0; 3]]
    );
    assert_eq!([0, 1, 2].map(|f| text.facets.of(f)), [1, 1, 2]);
    assert!(text.doubts.is_empty());
    for format in ["binary_little_endian", "binary_big_endian"] {
        assert_eq!(parse_ply(&square(format)).unwrap(), text, "{format}");
    }
}

#[test]
fn faces_cut_short_are_used_as_far_as_they_go_and_doubted() {
    let whole = square("binary_little_endian");
    let mesh = parse_ply(&whole[..whole.len() - 1]).unwrap();
    assert_eq!(mesh.triangles().len(), 2);
    assert_eq!(mesh.doubts[0].kind, DoubtKind::Truncated);
    assert!(mesh.doubts[0].to_string().contains("says 2 facets"));
}

#[test]
fn a_header_that_promises_too_much_takes_no_memory() {
    for format in ["ascii", "binary_little_endian"] {
        let mut bytes = header(format, usize::MAX / 64, usize::MAX / 64).into_bytes();
        bytes.extend([b'0'; 100]);
        let error = parse_ply(&bytes).unwrap_err().to_string();
        assert!(error.contains("vertices, but the file ends"), "{error}");
    }
    // Elements without properties take no bytes: they must take no time either.
    let endless = format!(
        "ply\nformat ascii 1.0\nelement nothing {}\nelement vertex 0\nproperty float x\nproperty float y\nproperty float z\nelement face 0\nproperty list uchar int vertex_index\nend_header\n",
        usize::MAX
    );
    assert!(
        parse_ply(endless.as_bytes())
            .unwrap()
            .triangles()
            .is_empty()
    );
}

#[test]
fn what_is_missing_is_named_with_a_way_out() {
    let cloud = "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n0 0 0\n";
    let far = [header("ascii", 1, 1).as_bytes(), b"0 0 0 0\n3 0 0 9\n"].concat();
    for (bytes, words) in [
        (cloud.as_bytes(), "points but no facets"),
        (
            &b"ply\nformat ascii 1.0\nend_header\n"[..],
            "no vertices and faces",
        ),
        (b"ply\nend_header\n", "no `format`"),
        (b"ply\nformat ascii 1.0\n", "ends inside its header"),
        (
            b"ply\nformat cubic 1.0\n",
            "header line 2: `format cubic 1.0` is not understood",
        ),
        (b"ply\nelement vertex -1\n", "header line 2"),
        (&far, "facet 1 names vertex 9 (from 0), but there are 1"),
    ] {
        let error = parse_ply(bytes).unwrap_err().to_string();
        assert!(error.starts_with("not a usable PLY file: "), "{error}");
        assert!(error.contains(words), "no `{words}` in: {error}");
    }
}
