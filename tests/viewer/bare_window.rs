//! The drawing library alone: one cube that never changes, drawn frame after frame,
//! and the memory held meanwhile. With Mesa 22.3's software Vulkan each frame takes 5
//! MB more with the library's own material (`cube`) and none with ours (`paint`, and
//! `glass` for what is seen through), nor with texts (`ui`) and lines (`lines`).
//!
//!     cargo run --features viewer --example bare_window -- \
//!         [window|picture] [frames] [samples 1|4] [cube|paint|glass|ui|lines]
#![expect(clippy::print_stdout, reason = "its figures are what it is for")]
use kiss3d::camera::OrbitCamera3d;
use kiss3d::color::Color;
use kiss3d::context::Context;
use kiss3d::egui;
use kiss3d::glamx::Vec3;
use kiss3d::renderer::Polyline3d;
use kiss3d::scene::SceneNode3d;
use kiss3d::window::{CanvasSetup, NumSamples, Window};

#[path = "../../src/viewer/paint.rs"]
mod paint;

const SIZE: (u32, u32) = (1400, 900);

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let has = |word: &str| arguments.iter().any(|a| a == word);
    let numbers: Vec<usize> = arguments.iter().filter_map(|a| a.parse().ok()).collect();
    let frames = numbers.first().copied().unwrap_or(200);
    let samples = if numbers.get(1) == Some(&4) {
        NumSamples::Four
    } else {
        NumSamples::One
    };
    kiss3d::pollster::block_on(async {
        let mut window = if has("picture") {
            let setup = CanvasSetup {
                samples,
                ..CanvasSetup::default()
            };
            Window::new_headless_with_setup(SIZE.0, SIZE.1, setup).await
        } else {
            let mut window = Window::new_with_size("bare", SIZE.0, SIZE.1).await;
            window.set_samples(samples);
            window
        };
        if !has("shadows") {
            window.set_shadows_enabled(false);
            window.set_shadow_resolution(16);
            window.set_shadow_atlas_layers(1);
        }
        let mut root = SceneNode3d::empty();
        if has("cube") || has("paint") || has("glass") {
            let mut cube = root.add_cube(1.0, 1.0, 1.0);
            if !has("cube") {
                cube.set_material(paint::paint());
            }
            let cover = if has("glass") { 0.5 } else { 1.0 };
            cube.set_color(Color::new(0.9, 0.4, 0.2, cover));
        }
        let line = Polyline3d::new(vec![Vec3::ZERO, Vec3::new(1.0, 1.0, 1.0)]);
        let mut camera = OrbitCamera3d::new(Vec3::new(2.0, 3.0, 4.0), Vec3::ZERO);
        let start = std::time::Instant::now();
        for frame in 0..=frames {
            if has("ui") {
                window.draw_ui(|ctx| {
                    egui::Window::new("text").show(ctx, |ui| ui.label("the same each frame"));
                });
            }
            if has("lines") {
                window.draw_polyline(&line);
            }
            if !window.render_3d(&mut root, &mut camera).await {
                break;
            }
            if !has("unpolled") {
                let _ = Context::get()
                    .device
                    .poll(wgpu::PollType::wait_indefinitely());
            }
            if frame % (frames / 10).max(1) == 0 {
                let gone = start.elapsed().as_secs_f64();
                println!("frame {frame}, {gone:.1} s: {} kB", memory_kb());
            }
        }
    });
}

fn memory_kb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmRSS"));
    line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok())
        .unwrap_or(0)
}
