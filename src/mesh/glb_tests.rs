use super::*;

/// A GLB of one triangle (0,0,0), (1,0,0), (0,1,0) with 16-bit indices, under
/// a node with the given JSON beside its mesh.
fn triangle(node: &str, indices: [u16; 3]) -> Vec<u8> {
    let json = format!(
        r#"{{"asset":{{"version":"2.0"}},"scene":0,"scenes":[{{"nodes":[0]}}],"nodes":[{{"mesh":0{node}}}],"meshes":[{{"primitives":[{{"attributes":{{"POSITION":0}},"indices":1}}]}}],"buffers":[{{"byteLength":44}}],"bufferViews":[{{"buffer":0,"byteLength":36}},{{"buffer":0,"byteOffset":36,"byteLength":6}}],"accessors":[{{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3","min":[0,0,0],"max":[1,1,0]}},{{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}}]}}"#
    );
    let mut data: Vec<u8> = [0.0_f32, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0]
        .iter()
        .flat_map(|v| v.to_le_bytes())
        .collect();
    data.extend(indices.iter().flat_map(|i| i.to_le_bytes()));
    data.extend([0; 2]);
    glb(json, &data)
}

fn glb(mut json: String, data: &[u8]) -> Vec<u8> {
    while !json.len().is_multiple_of(4) {
        json.push(' ');
    }
    let length = |n: usize| u32::try_from(n).unwrap().to_le_bytes();
    let mut bytes = b"glTF\x02\0\0\0".to_vec();
    bytes.extend(length(28 + json.len() + data.len()));
    bytes.extend(length(json.len()));
    bytes.extend(b"JSON");
    bytes.extend(json.bytes());
    bytes.extend(length(data.len()));
    bytes.extend(b"BIN\0");
    bytes.extend(data);
    bytes
}

#[test]
fn axes_become_the_boats_and_the_unit_is_metres() {
    let raw = parse_glb(&triangle("", [0, 1, 2])).unwrap();
    // +X is port, +Y is up.
    assert_eq!(
        raw.triangles(),
        [[[0.0; 3], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]]
    );
    assert_eq!(raw.metres_a_unit, Some(1.0));
    assert!(raw.doubts.is_empty());
}

#[test]
fn nodes_move_scale_and_mirror_what_hangs_under_them() {
    let moved = triangle(r#","translation":[0,0,5],"scale":[2,1,1]"#, [0, 1, 2]);
    let raw = parse_glb(&moved).unwrap();
    assert_eq!(
        raw.triangles(),
        [[[5.0, 0.0, 0.0], [5.0, 2.0, 0.0], [5.0, 0.0, 1.0]]]
    );
    let raw = parse_glb(&triangle(r#","scale":[-1,1,1]"#, [0, 1, 2])).unwrap();
    assert_eq!(
        raw.triangles(),
        [[[0.0, -1.0, 0.0], [0.0; 3], [0.0, 0.0, 1.0]]]
    );
}

#[test]
fn strips_and_fans_keep_one_side_out() {
    assert_eq!(strip(&[0, 1, 2, 3]), [[0, 1, 2], [2, 1, 3]]);
    assert_eq!(fan(&[0, 1, 2, 3]), [[0, 1, 2], [0, 2, 3]]);
    assert!(fan(&[]).is_empty() && strip(&[1, 2]).is_empty());
}

#[test]
fn damage_is_told_and_takes_nothing_down() {
    let good = triangle("", [0, 1, 2]);
    let swapped = |from: &str, to: &str| {
        let at = good
            .windows(from.len())
            .position(|w| w == from.as_bytes())
            .unwrap();
        let mut bytes = good.clone();
        bytes[at..at + to.len()].copy_from_slice(to.as_bytes());
        bytes
    };
    for (bytes, words) in [
        (
            triangle("", [0, 1, 9]),
            "names vertex 9, but its mesh has 3",
        ),
        (
            triangle(r#","children":[0]"#, [0, 1, 2]),
            "hangs in the scene twice",
        ),
        (good[..good.len() - 40].to_vec(), "export it again"),
        (
            swapped(
                "\"count\":3,\"type\":\"VEC3\"",
                "\"count\":9,\"type\":\"VEC3\"",
            ),
            "outside the file",
        ),
        (b"glTF\x02\0\0\0".to_vec(), "export it again"),
    ] {
        let error = parse_glb(&bytes).unwrap_err().to_string();
        assert!(error.starts_with("not a usable GLB file: "), "{error}");
        assert!(error.contains(words), "no `{words}` in: {error}");
    }
    for end in 0..good.len() {
        assert!(parse_glb(&good[..end]).is_err());
    }
}

#[test]
fn data_shown_over_and_over_is_refused_before_it_fills_the_memory() {
    let one = r#"{"attributes":{"POSITION":0},"indices":1}"#;
    let good = triangle("", [0, 1, 2]);
    let again = |times: usize| {
        let json = String::from_utf8_lossy(&good[20..good.len() - 52]).into_owned();
        let many = vec![one; times].join(",");
        glb(
            json.trim_end().replace(one, &many),
            &good[good.len() - 44..],
        )
    };
    assert_eq!(parse_glb(&again(10)).unwrap().triangles().len(), 10);
    let error = parse_glb(&again(100)).unwrap_err().to_string();
    assert!(error.contains("far too often"), "{error}");
}
