//! Whether this computer can draw at all.
use kiss3d::context::Context;
use kiss3d::pollster;

/// Why nothing can be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoGraphics {
    /// No driver that the drawing library can use.
    #[error(
        "no Vulkan driver was found, so nothing can be drawn. Debian and Ubuntu: apt-get install libvulkan1 mesa-vulkan-drivers (they draw without a graphics card, too)"
    )]
    NoDriver,
    /// A window needs a display.
    #[error(
        "there is no display to open a window on (neither DISPLAY nor WAYLAND_DISPLAY is set); `awash view BOAT --snapshot picture.png` needs none"
    )]
    NoDisplay,
    /// There is none where the environment says.
    #[error(
        "no window could be opened: the display that DISPLAY or WAYLAND_DISPLAY names does not answer; `awash view BOAT --snapshot picture.png` needs none"
    )]
    DisplayGone,
}

/// Looks for a driver, and for a display where a window is wanted. Without a
/// driver the drawing library would stop, or give black pictures.
///
/// # Errors
/// [`NoGraphics`], with what to install.
pub fn require_graphics(window: bool) -> Result<(), NoGraphics> {
    let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    if window && cfg!(target_os = "linux") && !set("DISPLAY") && !set("WAYLAND_DISPLAY") {
        return Err(NoGraphics::NoDisplay);
    }
    let backends = wgpu::Backends::PRIMARY;
    let instance = wgpu::Instance::new(wgpu::InstanceDescriptor {
        backends,
        ..wgpu::InstanceDescriptor::new_without_display_handle()
    });
    let adapters = pollster::block_on(instance.enumerate_adapters(backends));
    if adapters.is_empty() {
        Err(NoGraphics::NoDriver)
    } else {
        Ok(())
    }
}

/// Whether the library draws without a graphics card: smooth edges would then
/// cost most of the time. Only once something was opened.
pub(super) fn draws_by_software() -> bool {
    let adapter = Context::get().adapter.get_info();
    adapter.device_type == wgpu::DeviceType::Cpu
}

/// Waits until the frame is drawn and frees what it alone needed: nobody else
/// asks the device to, and memory would grow with every frame.
pub(super) fn free_what_was_drawn() {
    // A device that is lost shows in the next frame.
    let _ = Context::get()
        .device
        .poll(wgpu::PollType::wait_indefinitely());
}
