//! The built command as a user meets it: exit code, stdout and stderr, with
//! good input and with every kind of broken file.
#[cfg(target_os = "linux")]
#[path = "../house/banned.rs"]
mod banned;
mod beside;
mod box_boat;
mod broken_boat_files;
mod broken_boats;
mod broken_meshes;
mod compare;
mod compartments;
mod curves;
mod demo;
mod dive;
mod float;
mod formats;
mod init;
mod installed;
mod kept;
mod left_out;
mod margins;
mod mesh_case;
mod off_centre;
mod parts;
mod place;
mod plain_errors;
mod plausible;
mod remedies;
mod report;
mod run;
mod scans;
mod schema;
mod section;
mod slice;
mod slips;
#[cfg(target_os = "linux")]
mod start;
mod stl;
mod swamp;
mod template;
mod terminal;
mod trapped;
mod units;
mod usage;
mod view;
mod whereabouts;
mod workshop;
#[path = "../zoo/mod.rs"]
mod zoo;
