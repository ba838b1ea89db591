//! The built command as a user meets it: exit code, stdout and stderr, with
//! good input and with every kind of broken file.
mod broken_boats;
mod broken_meshes;
mod compare;
mod compartments;
mod curves;
mod dive;
mod float;
mod formats;
mod init;
mod margins;
mod mesh_case;
mod parts;
mod remedies;
mod report;
mod run;
mod scans;
mod section;
mod slice;
mod stl;
mod swamp;
mod template;
mod trapped;
mod usage;
mod view;
mod workshop;
