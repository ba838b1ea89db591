//! A boat file that stands alone: refused with a reason, or read.
#![no_main]
use awash::boat::BoatFile;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Err(error) = BoatFile::from_bytes("boat.toml", bytes) {
        assert!(!error.to_string().is_empty());
    }
});
