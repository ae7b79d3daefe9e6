//! Builds the module that a phone carries, and packs it for the program to hold.
//!
//! A release has it; other builds only where GUDGEON_POCKET=1 asks, so that they stay fast, or where it names the file of
//! one built before. Where the target is not installed the program is built without, and its page says so when the server
//! cannot be reached.

use std::env;
use std::error::Error;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

use flate2::Compression;
use flate2::write::GzEncoder;

const TARGET: &str = "wasm32-wasip1";
const ASKED: &str = "GUDGEON_POCKET";

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rustc-check-cfg=cfg(pocket)");
    println!("cargo::rerun-if-env-changed={ASKED}");
    for place in ["src", "Cargo.toml", "Cargo.lock"] {
        println!("cargo::rerun-if-changed={place}");
    }
    // The module itself holds none.
    if env::var_os("CARGO_FEATURE_SHOP").is_none() {
        return Ok(());
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or("cargo names no OUT_DIR")?);
    let packed = match module(&out) {
        Ok(Some(module)) => {
            let mut packer = GzEncoder::new(Vec::new(), Compression::best());
            packer.write_all(&fs::read(module)?)?;
            println!("cargo::rustc-cfg=pocket");
            packer.finish()?
        }
        Ok(None) => Vec::new(),
        Err(why) => {
            println!("cargo::warning=built without the sums on phones: {why}");
            Vec::new()
        }
    };
    fs::write(out.join("pocket.wasm.gz"), packed)?;
    Ok(())
}

/// The module's file, built; none where this build goes without.
fn module(out: &Path) -> Result<Option<PathBuf>, Box<dyn Error>> {
    match env::var(ASKED).as_deref() {
        Ok("1") => {}
        Ok("0") => return Ok(None),
        Ok(file) => {
            println!("cargo::rerun-if-changed={file}");
            return Ok(Some(file.into()));
        }
        Err(_) if env::var("PROFILE").is_ok_and(|profile| profile == "release") => {}
        Err(_) => return Ok(None),
    }
    let rustc = env::var_os("RUSTC").ok_or("cargo names no compiler")?;
    let libraries = Command::new(rustc).args(["--print", "target-libdir", "--target", TARGET]).output()?;
    if !Path::new(String::from_utf8_lossy(&libraries.stdout).trim()).is_dir() {
        return Err(format!("`rustup target add {TARGET}` adds what is missing").into());
    }
    // A folder of its own beside the others, that outlives a change of this script: OUT_DIR is target/PROFILE/build/X/out.
    let target = out.ancestors().nth(4).ok_or("the target folder is not where cargo puts it")?.join("pocket");
    let mut cargo = Command::new(env::var_os("CARGO").ok_or("cargo does not name itself")?);
    cargo.args([
        "build",
        "--quiet",
        "--locked",
        "--profile",
        "pocket",
        "--no-default-features",
        "--features",
        "pocket",
    ]);
    cargo.args(["--bin", "pocket", "--target", TARGET, "--target-dir"]).arg(&target);
    // What was asked of the outer build is nothing to this one.
    for (name, _) in env::vars_os() {
        let text = name.to_string_lossy();
        let inner = text.starts_with("CARGO_") && text != "CARGO_HOME" && !text.starts_with("CARGO_NET");
        let outer = matches!(&*text, "RUSTFLAGS" | "RUSTC" | "TARGET" | "HOST" | "PROFILE" | "OUT_DIR");
        // Lints are for the outer build: the module is what a compiler makes of it.
        if inner || outer || matches!(&*text, "RUSTC_WORKSPACE_WRAPPER" | "CLIPPY_ARGS") {
            cargo.env_remove(&name);
        }
    }
    let built = cargo.output()?;
    if !built.status.success() {
        let said = String::from_utf8_lossy(&built.stderr);
        return Err(said.lines().find(|line| line.starts_with("error")).unwrap_or("cargo failed").to_owned().into());
    }
    Ok(Some(target.join(TARGET).join("pocket").join("pocket.wasm")))
}
