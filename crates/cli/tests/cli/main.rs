//! The program as a shell sees it: what it prints, where, and the code it ends with.

#[cfg(test)]
mod balance;
#[cfg(test)]
mod books;
#[cfg(test)]
mod cases;
#[cfg(test)]
mod compare;
#[cfg(test)]
mod directions;
#[cfg(test)]
mod explain;
#[cfg(test)]
mod help;
#[cfg(test)]
mod lessons;
#[cfg(test)]
mod run;
#[cfg(test)]
mod wrong;

#[cfg(test)]
mod shell {
    use serde_json::Value;
    use std::path::PathBuf;
    use std::process::Command;

    pub const PLANT: &str = "reheat250";
    pub const BINARY: &str = env!("CARGO_BIN_EXE_bledsteam");

    /// What a call of the program left behind.
    pub struct Done {
        pub code: i32,
        pub out: String,
        pub err: String,
    }

    impl Done {
        /// The result as JSON, if the job ended well.
        pub fn json(&self) -> Value {
            assert_eq!(self.code, 0, "{}", self.err);
            serde_json::from_str(&self.out).unwrap()
        }
    }

    /// Calls the program with words parted by blanks, and further ones as they are.
    pub fn call(words: &str, more: &[&str]) -> Done {
        let output = Command::new(BINARY).args(words.split_whitespace()).args(more).output().unwrap();
        Done {
            code: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    /// A file for this test alone.
    pub fn file(name: &str, content: &[u8]) -> PathBuf {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
        std::fs::write(&path, content).unwrap();
        path
    }

    /// Path of a published cycle's plant file.
    pub fn book(name: &str) -> String {
        format!("{}/../../tests/books/{name}.json", env!("CARGO_MANIFEST_DIR"))
    }

    /// The shipped plant's file as JSON.
    pub fn plant_file() -> Value {
        let entry = catalog::PLANTS.iter().find(|e| e.name == PLANT).unwrap();
        serde_json::from_str(entry.json).unwrap()
    }
}
