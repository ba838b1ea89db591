//! A picture without a window.
use kiss3d::color::Color;
use kiss3d::pollster;
use kiss3d::post_processing::Tonemap;
use kiss3d::window::{CanvasSetup, NumSamples, Window};

use super::camera::{Covered, Fitted, Look, camera_for};
use super::overlay::{Canvas, card, overlay};
use super::scene::Scene;
use super::shown::Before;
use super::state::ViewerState;
use super::view::View;
use super::vulkan::{NoGraphics, require_graphics};

/// Frames drawn before the picture is taken: texts need one to be laid out.
const FRAMES: usize = 3;
/// Side of the shadows that are not drawn, pixels.
const LEAST_SHADOW: u32 = 16;
/// About how wide the card of two boats is, pixels.
const CARD_OF_TWO: f64 = 590.0;
/// Most of the picture's width that is left to a card.
const MOST_LEFT: f64 = 0.4;
/// Sky.
pub(super) const BACKGROUND: Color = Color::new(0.905, 0.925, 0.93, 1.0);

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PictureError {
    /// Nothing can be drawn here.
    #[error(transparent)]
    NoGraphics(#[from] NoGraphics),
    /// The driver drew nothing.
    #[error(
        "the graphics driver gave a picture of one colour only; nothing is written. Debian and Ubuntu: apt-get install libvulkan1 mesa-vulkan-drivers"
    )]
    Blank,
    /// The picture could not be packed.
    #[error("the picture could not be packed as PNG: {0}")]
    Png(#[from] png::EncodingError),
}

/// How the drawing looks in window and picture alike.
pub(super) fn set_up(window: &mut Window) {
    window.set_background_color(BACKGROUND);
    window.set_shadows_enabled(false);
    // The library keeps room for shadows even so: half a gigabyte as it comes.
    window.set_shadow_resolution(LEAST_SHADOW);
    window.set_shadow_atlas_layers(1);
    window.set_tonemap(Tonemap::None);
}

/// Draws the state into a PNG of a size in pixels. On the main thread only, and
/// once in a process: the drawing library wants it so.
///
/// # Errors
/// [`PictureError`].
pub fn picture_png(
    state: &ViewerState,
    view: View,
    (width, height): (u32, u32),
) -> Result<Vec<u8>, PictureError> {
    require_graphics(false)?;
    let pixels = pollster::block_on(async {
        let setup = CanvasSetup {
            samples: NumSamples::Four,
            ..CanvasSetup::default()
        };
        let mut window = Window::new_headless_with_setup(width, height, setup).await;
        set_up(&mut window);
        let mut scene = Scene::new(state);
        let covered = Covered {
            left: beside_card(view, state.before(), width),
            top: 0.0,
        };
        let Fitted { mut camera, layout } = camera_for(Look::of(view), &window, state, covered);
        scene.lay_beside(state, &camera, layout);
        for _ in 0..FRAMES {
            scene.hand_lines(&mut window, state);
            let mut canvas = Canvas::of(&window, &camera);
            canvas.before_m = scene.shift_m();
            window.draw_ui(|ctx| {
                overlay(ctx, state, &canvas, scene.shades());
                card(ctx, state);
            });
            let _ = window.render_3d(&mut scene.root, &mut camera).await;
        }
        window.snap_image().into_raw()
    });
    let first = pixels.get(..3).unwrap_or_default();
    if pixels.chunks_exact(3).all(|pixel| pixel == first) {
        return Err(PictureError::Blank);
    }
    Ok(png_of(width, height, &pixels)?)
}

/// Share of the picture's width that is left to the card: a boat seen end on is
/// high enough to reach behind it, and so are two.
fn beside_card(view: View, before: Before, width: u32) -> f64 {
    match (before, view) {
        (Before::Over | Before::Hidden, View::Bow | View::Stern) => 0.26,
        (Before::Over | Before::Hidden, _) | (Before::Beside, View::Side) => 0.0,
        (Before::Beside, _) => (CARD_OF_TWO / f64::from(width)).min(MOST_LEFT),
    }
}

/// Red, green, blue bytes as a PNG.
pub(super) fn png_of(width: u32, height: u32, rgb: &[u8]) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(rgb)?;
    writer.finish()?;
    Ok(bytes)
}
