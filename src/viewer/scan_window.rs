//! The window on a raw scan.
use kiss3d::camera::OrbitCamera3d;
use kiss3d::color::Color;
use kiss3d::event::{Action, Key, WindowEvent};
use kiss3d::scene::SceneNode3d;
use kiss3d::window::Window;

use super::camera::{Framed, Look};
use super::drawn_boat::add_mesh;
use super::panel::{Desk, PANEL_WIDTH, scan_panel};
use super::scan::ScanState;
use super::view::View;
use super::vulkan::free_what_was_drawn;
use super::window::{FRAMES_TO_SETTLE, Opened, REST_BETWEEN_LOOKS, covered_by};

const OUTSIDE: Color = Color::new(0.80, 0.77, 0.66, 1.0);
const INSIDE: Color = Color::new(0.55, 0.42, 0.45, 1.0);

/// Shows a scan until the window is closed, or it is gone on with.
pub(super) async fn run_scan(
    mut window: Window,
    scan: &mut ScanState,
    desk: &mut dyn Desk,
) -> (Window, Option<Opened>) {
    let mut look = Look::of(View::Quarter);
    let mut camera = fitted(look, &window, scan);
    let (mut root, mut drawn) = scene(scan);
    let mut version = scan.version;
    let mut quiet_frames = 0;
    let mut title = String::new();
    loop {
        window.canvas_mut().poll_events();
        let (any, refit, view) = follow(&mut window);
        if any || scan.is_busy() {
            quiet_frames = 0;
        } else if quiet_frames >= FRAMES_TO_SETTLE {
            std::thread::sleep(REST_BETWEEN_LOOKS);
            continue;
        }
        quiet_frames += 1;
        scan.poll();
        let now = scan.title();
        if now != title {
            window.set_title(&now);
            title = now;
        }
        let mut asked = None;
        window.draw_ui(|ctx| asked = scan_panel(ctx, scan));
        if asked.is_some() {
            match desk.keep_hull(scan).and_then(|boat| desk.open(&boat)) {
                Ok(opened) => return (window, Some(opened)),
                Err(why) => scan.message = why,
            }
        }
        let is_new = version != scan.version;
        if is_new {
            version = scan.version;
            for node in &mut drawn {
                node.remove();
            }
            (root, drawn) = scene(scan);
        }
        if let Some(view) = view {
            look = Look::of(view);
        }
        if is_new || refit || view.is_some() {
            look = view.map_or_else(|| Look::of_eye(&camera).unwrap_or(look), Look::of);
            camera = fitted(look, &window, scan);
        }
        if !window.render_3d(&mut root, &mut camera).await {
            return (window, None);
        }
        free_what_was_drawn();
    }
}

/// Whether anything came, whether the picture is to be fitted anew, and a view asked for.
fn follow(window: &mut Window) -> (bool, bool, Option<View>) {
    let (mut any, mut refit, mut view) = (false, false, None);
    for event in window.events().iter() {
        any = true;
        match event.value {
            WindowEvent::FramebufferSize(..) => refit = true,
            WindowEvent::Key(key, Action::Press, _) => match key {
                Key::V => refit = true,
                Key::Key1 => view = Some(View::Quarter),
                Key::Key2 => view = Some(View::Side),
                Key::Key3 => view = Some(View::Top),
                Key::Key4 => view = Some(View::Bow),
                Key::Key5 => view = Some(View::Stern),
                Key::Key6 => view = Some(View::Below),
                _ => {}
            },
            _ => {}
        }
    }
    (any, refit, view)
}

fn fitted(look: Look, window: &Window, scan: &ScanState) -> OrbitCamera3d {
    let around = scan.now.surface.bounds().unwrap_or_default();
    let axes = look.axes();
    let framed = Framed::of_box(&around, &axes);
    framed.seen(
        &axes,
        look.is_parallel,
        window,
        covered_by(window, PANEL_WIDTH),
    )
}

/// The mesh, its outside and its inside in colours of their own.
fn scene(scan: &ScanState) -> (SceneNode3d, [SceneNode3d; 2]) {
    let mut root = SceneNode3d::empty();
    let sides = [(false, OUTSIDE), (true, INSIDE)].map(|(inside, colour)| {
        let mut node = add_mesh(&mut root, &scan.now.drawn, inside);
        node.set_color(colour);
        node.enable_backface_culling(true);
        node
    });
    (root, sides)
}
