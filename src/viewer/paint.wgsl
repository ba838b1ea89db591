// Flat daylight on hull, things and water. Nothing here branches on a uniform: see
// paint.rs.

struct Thing {
    // From its own coordinates into the picture.
    into_picture: mat4x4<f32>,
    // Into the world, for normals.
    into_world: mat4x4<f32>,
    scale: vec4<f32>,
    colour: vec4<f32>,
}

@group(0) @binding(0) var<uniform> thing: Thing;
@group(1) @binding(0) var shades: texture_2d<f32>;
@group(1) @binding(1) var shades_sampler: sampler;

struct Corner {
    @builtin(position) at: vec4<f32>,
    @location(0) normal: vec3<f32>,
    @location(1) place: vec2<f32>,
}

@vertex
fn corner(
    @location(0) position: vec3<f32>,
    @location(1) normal: vec3<f32>,
    @location(2) place: vec2<f32>,
) -> Corner {
    var out: Corner;
    out.at = thing.into_picture * vec4<f32>(position * thing.scale.xyz, 1.0);
    out.normal = (thing.into_world * vec4<f32>(normal / thing.scale.xyz, 0.0)).xyz;
    out.place = place;
    return out;
}

// Sky all round, the sun high over the starboard bow, a little light from port and
// from below, so that no side is black.
fn lit(in: Corner) -> vec4<f32> {
    let n = normalize(in.normal);
    let sun = max(dot(n, vec3<f32>(0.315, -0.495, 0.81)), 0.0);
    let port = max(dot(n, vec3<f32>(-0.512, 0.82, 0.256)), 0.0);
    let below = max(dot(n, vec3<f32>(-0.212, -0.318, -0.954)), 0.0);
    let light = 0.62 + 0.45 * sun + 0.2 * port + 0.16 * below;
    let shade = textureSample(shades, shades_sampler, in.place);
    return vec4<f32>(shade.rgb * thing.colour.rgb * light, thing.colour.a);
}

@fragment
fn solid(in: Corner) -> @location(0) vec4<f32> {
    return vec4<f32>(lit(in).rgb, 1.0);
}

struct Mixed {
    @location(0) sum: vec4<f32>,
    @location(1) covered: f32,
}

// Seen through: colours are summed by their cover, in any order.
@fragment
fn seen_through(in: Corner) -> Mixed {
    let colour = lit(in);
    var out: Mixed;
    out.sum = vec4<f32>(colour.rgb * colour.a, colour.a);
    out.covered = colour.a;
    return out;
}
