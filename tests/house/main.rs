//! The house's own rules: which module may use which, and which licences may come in.
mod banned;
mod layers;
mod licences;
mod plain;
mod words;
