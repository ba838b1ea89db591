//! How surfaces are shaded: a plain material of our own.
//!
//! The drawing library's own material branches on uniforms. Mesa's software Vulkan
//! up to 22.3 compiles such a shader anew each time that it is bound, with the
//! uniforms' values put in, and keeps every copy for good: 5 MB and a tenth of a
//! second for each thing in each frame (`tests/viewer/bare_window.rs` shows it).
//! This shader has no branches.
use std::any::Any;
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use kiss3d::camera::Camera3d;
use kiss3d::context::Context;
use kiss3d::glamx::{Pose3, Vec3};
use kiss3d::light::LightCollection;
use kiss3d::post_processing::{OIT_ACCUM_FORMAT, OIT_REVEAL_FORMAT};
use kiss3d::resource::vertex_index::VERTEX_INDEX_FORMAT;
use kiss3d::resource::{
    DynamicUniformBuffer, GpuData, GpuMesh3d, Material3d, MaterialManager3d, PipelineCache,
    RenderContext, RenderPhase, Texture, multisample_state,
};
use kiss3d::scene::{InstancesBuffer3d, ObjectData3d};

/// The numbers of one thing as the shader has them, filled up.
type Numbers = [f32; 64];
/// A material as the library shares it.
pub(super) type SharedMaterial = Rc<RefCell<Box<dyn Material3d + 'static>>>;

/// Name that the library knows it by.
const NAME: &str = "paint";
/// Numbers that each corner has: place, normal, place in the row of shades.
const CORNER: [(u64, wgpu::VertexFormat); 3] = [
    (12, wgpu::VertexFormat::Float32x3),
    (12, wgpu::VertexFormat::Float32x3),
    (8, wgpu::VertexFormat::Float32x2),
];

/// The one paint of this process, made when it is first asked for: once something
/// was opened to draw on.
pub(super) fn paint() -> SharedMaterial {
    MaterialManager3d::get_global_manager(|known| {
        known.get(NAME).unwrap_or_else(|| {
            let made: SharedMaterial = Rc::new(RefCell::new(Box::new(Paint::new())));
            // Known materials are told of each frame.
            known.add(made.clone(), NAME);
            made
        })
    })
}

struct Paint {
    /// Of closed surfaces and of those that have no back.
    solid: [PipelineCache; 2],
    seen_through: [PipelineCache; 2],
    numbers: DynamicUniformBuffer<Numbers>,
    numbers_layout: wgpu::BindGroupLayout,
    numbers_group: wgpu::BindGroup,
    shades_layout: wgpu::BindGroupLayout,
}

/// What the paint keeps of one thing.
#[derive(Default)]
struct Painted {
    /// Where its numbers are this frame.
    offset: Option<u32>,
    /// Its shades, and the group made of them.
    shades: Option<(Arc<Texture>, wgpu::BindGroup)>,
}

impl GpuData for Painted {
    fn as_any(&self) -> &dyn Any {
        self
    }

    fn as_any_mut(&mut self) -> &mut dyn Any {
        self
    }
}

impl Paint {
    fn new() -> Self {
        let ctxt = Context::get();
        let numbers_layout = ctxt.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("paint numbers"),
            entries: &[wgpu::BindGroupLayoutEntry {
                binding: 0,
                visibility: wgpu::ShaderStages::VERTEX_FRAGMENT,
                ty: wgpu::BindingType::Buffer {
                    ty: wgpu::BufferBindingType::Uniform,
                    has_dynamic_offset: true,
                    min_binding_size: None,
                },
                count: None,
            }],
        });
        let in_fragments = |binding, ty| wgpu::BindGroupLayoutEntry {
            binding,
            visibility: wgpu::ShaderStages::FRAGMENT,
            ty,
            count: None,
        };
        let image = wgpu::BindingType::Texture {
            sample_type: wgpu::TextureSampleType::Float { filterable: true },
            view_dimension: wgpu::TextureViewDimension::D2,
            multisampled: false,
        };
        let sampler = wgpu::BindingType::Sampler(wgpu::SamplerBindingType::Filtering);
        let shades_layout = ctxt.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("paint shades"),
            entries: &[in_fragments(0, image), in_fragments(1, sampler)],
        });
        let layout = ctxt.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some("paint"),
            bind_group_layouts: &[Some(&numbers_layout), Some(&shades_layout)],
            immediate_size: 0,
        });
        let shader = ctxt.create_shader_module(Some("paint"), include_str!("paint.wgsl"));
        let numbers = DynamicUniformBuffer::new("paint numbers");
        let pipeline = |see_through: bool, cull: bool| {
            let (layout, shader) = (layout.clone(), shader.clone());
            PipelineCache::new(move |samples| {
                pipeline(&layout, &shader, see_through, cull, samples)
            })
        };
        Self {
            solid: [pipeline(false, true), pipeline(false, false)],
            seen_through: [pipeline(true, true), pipeline(true, false)],
            numbers_group: group_of(&numbers_layout, &numbers),
            numbers,
            numbers_layout,
            shades_layout,
        }
    }

    fn shades_of(&self, texture: &Texture) -> wgpu::BindGroup {
        Context::get().create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("paint shades"),
            layout: &self.shades_layout,
            entries: &[
                wgpu::BindGroupEntry {
                    binding: 0,
                    resource: wgpu::BindingResource::TextureView(&texture.view),
                },
                wgpu::BindGroupEntry {
                    binding: 1,
                    resource: wgpu::BindingResource::Sampler(&texture.sampler),
                },
            ],
        })
    }
}

fn group_of(
    layout: &wgpu::BindGroupLayout,
    numbers: &DynamicUniformBuffer<Numbers>,
) -> wgpu::BindGroup {
    Context::get().create_bind_group(&wgpu::BindGroupDescriptor {
        label: Some("paint numbers"),
        layout,
        entries: &[wgpu::BindGroupEntry {
            binding: 0,
            resource: wgpu::BindingResource::Buffer(wgpu::BufferBinding {
                buffer: numbers.buffer(),
                offset: 0,
                size: std::num::NonZeroU64::new(numbers.aligned_size()),
            }),
        }],
    })
}

fn pipeline(
    layout: &wgpu::PipelineLayout,
    shader: &wgpu::ShaderModule,
    see_through: bool,
    cull: bool,
    samples: u32,
) -> wgpu::RenderPipeline {
    let attributes = [0, 1, 2].map(|number: u32| {
        [wgpu::VertexAttribute {
            offset: 0,
            shader_location: number,
            format: CORNER[number as usize].1,
        }]
    });
    let buffers = [0, 1, 2].map(|number: usize| {
        Some(wgpu::VertexBufferLayout {
            array_stride: CORNER[number].0,
            step_mode: wgpu::VertexStepMode::Vertex,
            attributes: &attributes[number],
        })
    });
    let target = |format, blend| {
        Some(wgpu::ColorTargetState {
            format,
            blend: Some(blend),
            write_mask: wgpu::ColorWrites::ALL,
        })
    };
    let both = |component| wgpu::BlendState {
        color: component,
        alpha: component,
    };
    let by = |src_factor, dst_factor| wgpu::BlendComponent {
        src_factor,
        dst_factor,
        operation: wgpu::BlendOperation::Add,
    };
    // As the library mixes what is seen through: a sum, and what is left uncovered.
    let mixed = [
        target(
            OIT_ACCUM_FORMAT,
            both(by(wgpu::BlendFactor::One, wgpu::BlendFactor::One)),
        ),
        target(
            OIT_REVEAL_FORMAT,
            both(by(wgpu::BlendFactor::Zero, wgpu::BlendFactor::OneMinusSrc)),
        ),
    ];
    let solid = [target(Context::render_format(), wgpu::BlendState::REPLACE)];
    let (entry_point, targets) = if see_through {
        ("seen_through", &mixed[..])
    } else {
        ("solid", &solid[..])
    };
    Context::get().create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: Some("paint"),
        layout: Some(layout),
        vertex: wgpu::VertexState {
            module: shader,
            entry_point: Some("corner"),
            buffers: &buffers,
            compilation_options: wgpu::PipelineCompilationOptions::default(),
        },
        fragment: Some(wgpu::FragmentState {
            module: shader,
            entry_point: Some(entry_point),
            targets,
            compilation_options: wgpu::PipelineCompilationOptions::default(),
        }),
        primitive: wgpu::PrimitiveState {
            cull_mode: cull.then_some(wgpu::Face::Back),
            ..wgpu::PrimitiveState::default()
        },
        depth_stencil: Some(wgpu::DepthStencilState {
            format: Context::depth_format(),
            depth_write_enabled: Some(!see_through),
            depth_compare: Some(wgpu::CompareFunction::Less),
            stencil: wgpu::StencilState::default(),
            bias: wgpu::DepthBiasState::default(),
        }),
        multisample: multisample_state(samples),
        multiview_mask: None,
        cache: None,
    })
}

/// Hands the drawing library what changed of a mesh.
fn load(mesh: &GpuMesh3d) {
    if let Ok(mut points) = mesh.coords().write() {
        points.load_to_gpu();
    }
    if let Ok(mut normals) = mesh.normals().write() {
        normals.load_to_gpu();
    }
    if let Ok(mut places) = mesh.uvs().write() {
        places.load_to_gpu();
    }
    if let Ok(mut faces) = mesh.faces().write() {
        faces.load_to_gpu();
    }
}

impl Material3d for Paint {
    fn create_gpu_data(&self) -> Box<dyn GpuData> {
        Box::<Painted>::default()
    }

    fn begin_frame(&mut self) {
        self.numbers.clear();
    }

    fn prepare(
        &mut self,
        pass: usize,
        transform: Pose3,
        scale: Vec3,
        camera: &mut dyn Camera3d,
        _lights: &LightCollection,
        data: &ObjectData3d,
        gpu_data: &mut dyn GpuData,
        _viewport_width: u32,
        _viewport_height: u32,
    ) {
        let Some(painted) = gpu_data.as_any_mut().downcast_mut::<Painted>() else {
            return;
        };
        let (view, projection) = camera.view_transform_pair(pass);
        let into_world = transform.to_mat4();
        let into_picture = projection * view.to_mat4() * into_world;
        let colour = data.color();
        let mut numbers: Numbers = [0.0; 64];
        numbers[..16].copy_from_slice(&into_picture.to_cols_array());
        numbers[16..32].copy_from_slice(&into_world.to_cols_array());
        numbers[32..36].copy_from_slice(&[scale.x, scale.y, scale.z, 1.0]);
        numbers[36..40].copy_from_slice(&[colour.r, colour.g, colour.b, colour.a]);
        painted.offset = Some(self.numbers.push(&numbers));
    }

    fn flush(&mut self) {
        if self.numbers.flush() {
            self.numbers_group = group_of(&self.numbers_layout, &self.numbers);
        }
    }

    fn renders_in_transparent_phase(&self) -> bool {
        true
    }

    fn render(
        &mut self,
        _pass: usize,
        _transform: Pose3,
        _scale: Vec3,
        _camera: &mut dyn Camera3d,
        _lights: &LightCollection,
        data: &ObjectData3d,
        mesh: &mut GpuMesh3d,
        _instances: &mut InstancesBuffer3d,
        gpu_data: &mut dyn GpuData,
        render_pass: &mut wgpu::RenderPass<'_>,
        context: &RenderContext,
    ) {
        let see_through = data.color().a < 1.0;
        let wanted = match context.phase {
            RenderPhase::Opaque => !see_through,
            RenderPhase::Transparent => see_through,
            RenderPhase::Prepass | RenderPhase::Transmission => false,
        };
        let painted = gpu_data.as_any_mut().downcast_mut::<Painted>();
        let Some(painted) = painted.filter(|_| wanted && data.surface_rendering_active()) else {
            return;
        };
        let texture = data.texture();
        let known = painted.shades.take();
        let known = known.filter(|(of, _)| Arc::ptr_eq(of, texture));
        let shades = known.unwrap_or_else(|| (texture.clone(), self.shades_of(texture)));
        let (_, shades_group) = painted.shades.insert(shades);
        load(mesh);
        let corners = [
            mesh.coords_buffer(),
            mesh.normals_buffer(),
            mesh.uvs_buffer(),
        ];
        let ([Some(points), Some(normals), Some(places)], Some(faces), Some(offset)) =
            (corners, mesh.faces_buffer(), painted.offset)
        else {
            return;
        };
        let pipelines = if see_through {
            &self.seen_through
        } else {
            &self.solid
        };
        let pipeline = &pipelines[usize::from(!data.backface_culling_enabled())];
        render_pass.set_pipeline(&pipeline.get(context.sample_count));
        render_pass.set_bind_group(0, &self.numbers_group, &[offset]);
        render_pass.set_bind_group(1, &*shades_group, &[]);
        for (slot, buffer) in (0..).zip([&points, &normals, &places]) {
            render_pass.set_vertex_buffer(slot, buffer.slice(..));
        }
        render_pass.set_index_buffer(faces.slice(..), VERTEX_INDEX_FORMAT);
        render_pass.draw_indexed(0..mesh.num_indices(), 0, 0..1);
    }
}
