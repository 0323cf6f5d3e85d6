//! Runs test programs: every test once to see which mutants it meets, then mutant by mutant.

use std::fs::{self, File};
use std::io;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};

/// One test, how long it takes and which mutants it meets.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Test {
    pub program: PathBuf,
    pub name: String,
    pub seconds: f64,
    /// It did not end in the time it was given.
    #[serde(default)]
    pub long: bool,
    pub meets: Vec<usize>,
}

/// How a run of tests ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Ended {
    Passed,
    /// The first test that failed, or what else went wrong.
    Failed(String),
    TooLong,
}

/// How often the time of a run is looked at.
const LOOK: Duration = Duration::from_millis(500);
/// A run that waits for something is given up after so long.
const STANDING: Duration = Duration::from_secs(1200);

/// Ticks of the clock a second, as Linux counts them in `/proc`.
const TICKS: f64 = 100.0;

/// Numbers of a `/proc/…/stat` behind the name, and the sum of its four processor times, s.
fn stat(text: &str) -> (Vec<f64>, f64) {
    let behind = text.rsplit(')').next().unwrap_or("");
    let fields: Vec<f64> = behind
        .split_whitespace()
        .map(|f| f.parse().unwrap_or(0.0))
        .collect();
    let used = fields
        .get(11..15)
        .map_or(0.0, |times| times.iter().sum::<f64>() / TICKS);
    (fields, used)
}

/// Processor time of a group of processes, s.
fn used(group: u32) -> io::Result<f64> {
    let mut sum = 0.0;
    for entry in fs::read_dir("/proc")? {
        if let Ok(text) = fs::read_to_string(entry?.path().join("stat")) {
            let (fields, used) = stat(&text);
            if fields.get(2) == Some(&f64::from(group)) {
                sum += used;
            }
        }
    }
    Ok(sum)
}

/// Processor time of the programs that ended so far, s.
fn spent() -> io::Result<f64> {
    Ok(stat(&fs::read_to_string("/proc/self/stat")?)
        .0
        .get(13..15)
        .map_or(0.0, |t| t.iter().sum::<f64>() / TICKS))
}

/// The names of a program's tests, those left out of ordinary runs excepted.
///
/// # Errors
/// Where the program does not run.
pub fn names(program: &Path) -> io::Result<Vec<String>> {
    let list = |words: &[&str]| -> io::Result<Vec<String>> {
        let output = Command::new(program)
            .args(["--list", "--format", "terse"])
            .args(words)
            .output()?;
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        Ok(text
            .lines()
            .filter_map(|l| l.strip_suffix(": test"))
            .map(Into::into)
            .collect())
    };
    let ignored = list(&["--ignored"])?;
    Ok(list(&[])?
        .into_iter()
        .filter(|name| !ignored.contains(name))
        .collect())
}

/// Runs tests of one program in a folder with `MUTANT` set, for so many seconds of the processor.
///
/// # Errors
/// Where the program does not run.
pub fn run(
    scratch: &Path,
    program: &Path,
    tests: &[&str],
    mutant: &str,
    limit: f64,
) -> io::Result<Ended> {
    let told = scratch.join(format!("target/told-{}.txt", std::process::id()));
    let out = File::create(&told)?;
    let mut child = Command::new(program)
        .args(["--exact", "--test-threads", "2"])
        .args(tests)
        .current_dir(scratch)
        .env("MUTANT", mutant)
        .env("MUTANT_TRACE", scratch.join("target/trace.txt"))
        .env("INSTA_UPDATE", "no")
        // A failing input must not be kept for the next mutant.
        .env("PROPTEST_DISABLE_FAILURE_PERSISTENCE", "1")
        // Those met while tracing must be met again.
        .env("PROPTEST_RNG_SEED", "1")
        .env("PROPTEST_MAX_SHRINK_ITERS", "0")
        .env("INSTA_WORKSPACE_ROOT", scratch)
        .env("CARGO_MANIFEST_DIR", scratch)
        .stdin(Stdio::null())
        .stdout(out.try_clone()?)
        .stderr(out)
        .process_group(0)
        .spawn()?;
    let begun = Instant::now();
    let mut looked = begun;
    loop {
        if let Some(status) = child.try_wait()? {
            if status.success() {
                return Ok(Ended::Passed);
            }
            let text = String::from_utf8_lossy(&fs::read(&told)?).into_owned();
            let failed = text
                .lines()
                .find_map(|l| l.strip_prefix("test ")?.strip_suffix(" ... FAILED"))
                .map_or_else(|| format!("ended with {status}"), Into::into);
            return Ok(Ended::Failed(failed));
        }
        if looked.elapsed() < LOOK {
            std::thread::sleep(Duration::from_millis(5));
            continue;
        }
        looked = Instant::now();
        if used(child.id())? > limit || begun.elapsed() > STANDING {
            // Programs that the tests started are in the same group.
            let group = format!("-{}", child.id());
            Command::new("kill").args(["-9", "--", &group]).status()?;
            child.wait()?;
            return Ok(Ended::TooLong);
        }
    }
}

/// Rooms and kinds of test in the order in which they are looked at.
const FIRST: [&str; 10] = [
    "lap::",
    "schedule::",
    "car::",
    "dyno::",
    "published::",
    "properties::",
    "explain::",
    "venue::",
    "demo::",
    "commands::",
];

/// What is known of the tests: those that pass or take longer than they are given, and the names of those
/// that fail though no mutant is on.
#[derive(Debug, Default, Serialize, Deserialize)]
pub struct Traced {
    pub tests: Vec<Test>,
    pub left_out: Vec<String>,
}

/// Runs every test alone with no mutant on, those nearest to the faults first, and writes after each what is
/// known so far to a file, from which a later run goes on.
///
/// # Errors
/// Where a program does not run or the file cannot be written.
pub fn trace(
    scratch: &Path,
    programs: &[PathBuf],
    known: &Path,
    longest: f64,
) -> io::Result<Traced> {
    let trace = scratch.join("target/trace.txt");
    let mut traced: Traced = match fs::read(known) {
        Ok(bytes) => serde_json::from_slice(&bytes)?,
        Err(_) => Traced::default(),
    };
    let mut all = Vec::new();
    for program in programs {
        all.extend(
            names(program)?
                .into_iter()
                .map(|name| (program.clone(), name)),
        );
    }
    let place = |name: &str| {
        FIRST
            .iter()
            .position(|room| name.starts_with(room))
            .unwrap_or(FIRST.len())
    };
    all.sort_by_key(|(_, name)| place(name));
    for (program, name) in all {
        if traced.tests.iter().any(|t| t.name == name) || traced.left_out.contains(&name) {
            continue;
        }
        let _ = fs::remove_file(&trace);
        let before = spent()?;
        let ended = run(scratch, &program, &[&name], "trace", longest)?;
        let seconds = spent()? - before;
        println!("{seconds:.1} {name}");
        if matches!(ended, Ended::Passed | Ended::TooLong) {
            let text = fs::read_to_string(&trace).unwrap_or_default();
            let mut meets: Vec<usize> = text.lines().filter_map(|l| l.parse().ok()).collect();
            meets.sort_unstable();
            meets.dedup();
            traced.tests.push(Test {
                program,
                name,
                seconds: if ended == Ended::TooLong {
                    longest
                } else {
                    seconds
                },
                long: ended == Ended::TooLong,
                meets,
            });
        } else {
            println!("left out: {ended:?}");
            traced.left_out.push(name);
        }
        // In one go: a hunt may be reading it.
        let half = known.with_extension("part");
        fs::write(&half, serde_json::to_vec(&traced)?)?;
        fs::rename(half, known)?;
    }
    Ok(traced)
}
