//! The report and the driver's sheet: what they say, and how they look in a real browser.

mod browser;
mod chromium;
mod numbers;
mod writing;

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use crate::commands::pullrank;

/// The pages of the demo, made once.
pub struct Demo {
    folder: PathBuf,
    /// The report.
    pub report: PathBuf,
    /// The driver's sheet of a stage with many corners.
    pub sheet: PathBuf,
}

/// Draws that are enough to look at.
const DRAWS: &str = "40";

/// A folder for this run of the tests.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("pages-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// The pages of the demo.
pub fn demo() -> &'static Demo {
    static DEMO: OnceLock<Demo> = OnceLock::new();
    DEMO.get_or_init(|| {
        let folder = folder("demo");
        let (report, sheet) = (folder.join("report.html"), folder.join("sheet.html"));
        let charts = folder.join("charts");
        fs::create_dir(&charts).unwrap();
        let study = "examples/club-season.yaml";
        pullrank()
            .args(["report", study, "--draws", DRAWS, "-o"])
            .arg(&report)
            .arg("--svg")
            .arg(&charts)
            .assert()
            .success();
        pullrank()
            .args([
                "sheet", study, "--venue", "Threnlow", "--draws", DRAWS, "-o",
            ])
            .arg(&sheet)
            .assert()
            .success();
        Demo {
            folder,
            report,
            sheet,
        }
    })
}

impl Demo {
    /// The folder of the charts alone.
    pub fn charts(&self) -> PathBuf {
        self.folder.join("charts")
    }

    /// The report as text.
    pub fn html(&self) -> String {
        fs::read_to_string(&self.report).unwrap()
    }
}
