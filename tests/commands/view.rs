//! `awash view`: without the viewer it says how to get it; with it, bad input
//! and missing graphics are told and pictures are drawn.
use super::run::awash;

#[cfg(not(feature = "viewer"))]
#[test]
fn without_the_viewer_it_says_how_to_install_it() {
    let run = awash(["view", "tests/boats/after.toml"]);
    assert_eq!(run.code, 2);
    assert!(
        run.stderr
            .contains("cargo install --path . --features viewer"),
        "{}",
        run.stderr
    );
}

#[test]
fn a_size_that_is_none_is_refused() {
    for size in ["1600", "0x100", "10x10", "99999x100", "axb"] {
        let run = awash(["view", "b.toml", "--snapshot", "o.png", "--size", size]);
        assert_eq!(run.code, 2, "{size}");
        assert!(run.stderr.contains("1600x1000"), "{size}: {}", run.stderr);
    }
}

#[cfg(feature = "viewer")]
mod drawn {
    use std::fs;

    use super::awash;

    const BOAT: &str = "tests/boats/after.toml";

    #[test]
    fn an_unknown_opening_is_told_with_those_there_are() {
        let run = awash(["view", BOAT, "--snapshot", "never.png", "--cover", "hatch"]);
        assert_eq!(run.code, 2);
        assert!(run.stderr.contains("\"hatch\"") && run.stderr.contains("transom notch"));
    }

    #[test]
    fn a_picture_is_drawn_or_what_to_install_is_told_but_nothing_black() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("side.png");
        let name = target.to_str().unwrap();
        let options = [
            "view",
            BOAT,
            "--snapshot",
            name,
            "--view",
            "side",
            "--size",
            "400x300",
        ];
        let run = awash(options);
        if run.code == 2 {
            assert!(run.stderr.contains("mesa-vulkan-drivers"), "{}", run.stderr);
            assert!(!target.exists());
            return;
        }
        assert_eq!(run.code, 0, "{}", run.stderr);
        let png = fs::read(&target).unwrap();
        let mut reader = png::Decoder::new(std::io::Cursor::new(&png))
            .read_info()
            .unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut pixels).unwrap();
        assert_eq!((info.width, info.height), (400, 300));
        let colours: std::collections::HashSet<&[u8]> = pixels.chunks_exact(3).collect();
        assert!(colours.len() > 100, "{} colours", colours.len());
        // It is there now and stays.
        let again = awash(options);
        assert_eq!(again.code, 2);
        assert!(again.stderr.contains("already there"));
    }

    #[test]
    fn without_a_driver_it_says_what_to_install() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("none.png");
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_awash"))
            .args(["view", BOAT, "--snapshot", target.to_str().unwrap()])
            // Points the Vulkan loader at no driver at all.
            .env("VK_DRIVER_FILES", "/nonexistent.json")
            .env("VK_ICD_FILENAMES", "/nonexistent.json")
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .unwrap();
        // Other systems draw by other means than Vulkan.
        if cfg!(target_os = "linux") {
            assert_eq!(output.status.code(), Some(2));
            let told = String::from_utf8_lossy(&output.stderr);
            assert!(told.contains("libvulkan1 mesa-vulkan-drivers"), "{told}");
            assert!(!target.exists());
        }
    }

    #[test]
    fn without_a_display_a_window_points_to_pictures() {
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_awash"))
            .args(["view", BOAT])
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY")
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .unwrap();
        if cfg!(target_os = "linux") {
            assert_eq!(output.status.code(), Some(2));
            let told = String::from_utf8_lossy(&output.stderr);
            assert!(told.contains("--snapshot"), "{told}");
        }
    }

    /// A display that does not answer: the message, no panic.
    #[test]
    fn a_display_that_is_gone_is_told() {
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_awash"))
            .args(["view", BOAT])
            .env("DISPLAY", ":65123")
            .env_remove("WAYLAND_DISPLAY")
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .unwrap();
        if cfg!(target_os = "linux") {
            assert_eq!(output.status.code(), Some(2));
            let told = String::from_utf8_lossy(&output.stderr);
            assert!(!told.contains("panicked"), "{told}");
            assert!(
                told.contains("does not answer") || told.contains("mesa-vulkan"),
                "{told}"
            );
        }
    }
}
