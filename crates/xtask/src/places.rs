//! Where things lie in the repository and where this program writes.

use crate::say::stop;
use anyhow::Result;
use std::path::{Path, PathBuf};

/// The repository's root and the folders under it.
pub struct Places {
    root: PathBuf,
    cargo_target: PathBuf,
}

impl Places {
    /// From where this crate lay when it was compiled.
    pub fn find() -> Result<Places> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
        let root = root.canonicalize().map_err(|e| {
            stop(
                format!("the repository is no longer at {} ({e})", root.display()),
                "start it with `cargo xtask …` inside the repository",
            )
        })?;
        let cargo_target = match std::env::var_os("CARGO_TARGET_DIR") {
            Some(dir) => root.join(dir),
            None => root.join("target"),
        };
        Ok(Places { root, cargo_target })
    }

    /// The repository's root.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The page's sources.
    pub fn www(&self) -> PathBuf {
        self.root.join("www")
    }

    /// cargo's output for wasm: apart from the native one, so that neither throws the other's work away.
    pub fn wasm_target(&self) -> PathBuf {
        self.cargo_target.join("wasm")
    }

    /// cargo's own output.
    pub fn target(&self) -> &Path {
        &self.cargo_target
    }

    /// The generated JavaScript, TypeScript and wasm. `www/tsconfig.json` names this place, so it does not move
    /// with `CARGO_TARGET_DIR`.
    pub fn bindings(&self) -> PathBuf {
        self.root.join("target/bindings")
    }

    /// The built page.
    pub fn www_out(&self) -> PathBuf {
        self.root.join("target/www")
    }

    /// The page as one file.
    pub fn single_file(&self) -> PathBuf {
        self.root.join("target/package/bledsteam.html")
    }

    /// A path as the user would type it from the root.
    pub fn shown(&self, path: &Path) -> String {
        path.strip_prefix(&self.root).unwrap_or(path).display().to_string()
    }
}
