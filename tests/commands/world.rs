//! A small study in a folder of its own, to be broken by the tests.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::sync::atomic::{AtomicU32, Ordering};

use super::pullrank;

const CAR: &str = "\
name: Minnow
mass: 960 kg
drive: rear
tyre: 185/60R13
ratios: [2.94, 1.94, 1.36, 1.00]
final_drive: 9/38
flywheel: light
rev_limit: 7000 rpm
";

const TEST_DAY: &str = "\
dyno: {measures: flywheel, method: steps}
correct_to: DIN 70020
corrected: DIN 70020
specs:
  - name: long
    pulls: long.csv
  - name: short
    fittings: [{points: {rpm: [2000, 3000, 4000, 5000, 6000, 7000], torque: [110, 125, 140, 152, 150, 135]}}]
";

const TRACK: &str = "\
name: Mill Lane
kind: stage
surface: tarmac
air: {elevation: 200 m, temperature: 15 C, humidity: 60 %}
pieces:
  - straight: {length: 140 m, slope: 2 %}
  - corner: {radius: 30 m, turn: 90 deg, direction: left}
  - straight: 90 m
";

const STUDY: &str = "\
name: Small
car: car.yaml
testday: testday.yaml
driver: {lowest_rpm: 2500 rpm}
venues: [track.yaml]
";

/// A folder with a sound study in it; gone when dropped.
pub struct World {
    folder: PathBuf,
}

impl World {
    /// A sound one.
    pub fn new() -> Self {
        Self::empty()
            .write("car.yaml", CAR)
            .write("testday.yaml", TEST_DAY)
            .write("track.yaml", TRACK)
            .write("study.yaml", STUDY)
            .write("long.csv", long_pull())
    }

    /// An empty folder.
    pub fn empty() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("pullrank-world-{}-{count}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        Self { folder }
    }

    /// With a file written anew.
    pub fn write(self, name: &str, bytes: impl AsRef<[u8]>) -> Self {
        fs::write(self.folder.join(name), bytes).unwrap();
        self
    }

    /// With a passage of a file replaced; the passage must be there.
    pub fn edit(self, name: &str, from: &str, to: &str) -> Self {
        let text = fs::read_to_string(self.folder.join(name)).unwrap();
        assert!(text.contains(from), "{name} has no `{from}`");
        self.write(name, text.replacen(from, to, 1))
    }

    /// Where a file of it is.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Runs `rank` on its study.
    pub fn rank(&self) -> Output {
        pullrank()
            .arg("rank")
            .arg(self.path("study.yaml"))
            .output()
            .unwrap()
    }

    /// What `rank` says of its faults; it must say so with exit code 1 and no result.
    pub fn faults(&self) -> String {
        let output = self.rank();
        let said = self.said(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert!(output.stdout.is_empty(), "{said}");
        assert!(!said.contains("panicked"), "{said}");
        said
    }

    /// Text without the folder's own path.
    pub fn said(&self, bytes: &[u8]) -> String {
        let folder = format!("{}/", self.folder.display());
        String::from_utf8_lossy(bytes).replace(&folder, "")
    }
}

impl AsRef<Path> for World {
    fn as_ref(&self) -> &Path {
        &self.folder
    }
}

impl Drop for World {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// A pull of 21 rows as a table.
pub fn long_pull() -> String {
    let rows = (0..21).map(|i| {
        let rpm = 2000 + 250 * i;
        let x = (f64::from(rpm) - 5000.0) / 3000.0;
        format!("{rpm},{:.1}\n", 152.0 - 30.0 * x * x)
    });
    std::iter::once("rpm,torque [Nm]\n".to_owned())
        .chain(rows)
        .collect()
}
