//! All seeds and files of the demo, and what accidents make of them: over 50,000 files.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::mutate::{Dice, accident};
use super::readers::{READERS, Reader, folder};

/// Files made by accidents, for each reader.
const ACCIDENTS: usize = 4_400;
/// Longest that any file may take.
const PATIENCE: Duration = Duration::from_secs(1);
/// Most memory that reading may take at any time, bytes.
const MEMORY: u64 = 500 << 20;

/// Files of the demo that a reader reads, beside its own seeds.
fn demo(reader: &str) -> &'static [&'static str] {
    match reader {
        "study" => &["examples/club-season.yaml", "examples/plum-season.yaml"],
        "car" => &["cars/rowan-coupe/car.yaml", "cars/plum-hatch/car.yaml"],
        "testday" => &[
            "cars/rowan-coupe/testday.yaml",
            "cars/plum-hatch/testday.yaml",
        ],
        "track" => &[
            "tracks/vennick.yaml",
            "tracks/skarrow-woods.yaml",
            "tracks/quessmoor.yaml",
        ],
        "pulls" => &["cars/rowan-coupe/pulls/long-1.csv"],
        _ => &[],
    }
}

/// The valid files of a reader.
fn files(reader: &Reader) -> Vec<(PathBuf, Vec<u8>)> {
    let seeds = folder().join("seeds").join(reader.name);
    let listing = std::fs::read_dir(&seeds).expect("seeds");
    let mut paths: Vec<PathBuf> = listing.map(|entry| entry.expect("a seed").path()).collect();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    paths.extend(demo(reader.name).iter().map(|path| root.join(path)));
    paths.sort();
    let read = |path: PathBuf| {
        let bytes = std::fs::read(&path).expect("a seed");
        (path, bytes)
    };
    paths.into_iter().map(read).collect()
}

/// How long this thread has worked, where the system tells; otherwise the clock.
fn worked(begun: Instant) -> Duration {
    let about = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = about.and_then(|about| about.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| begun.elapsed(), Duration::from_nanos)
}

/// Feeds one file; what went wrong, where anything did.
fn fed(reader: &Reader, bytes: &[u8]) -> Result<(), String> {
    let read = || {
        let begun = Instant::now();
        let before = worked(begun);
        let done = catch_unwind(AssertUnwindSafe(|| (reader.read)(bytes)));
        done.map(|_| worked(begun) - before).map_err(|panic| {
            let text = panic.downcast_ref::<String>().cloned();
            text.unwrap_or_else(|| (*panic.downcast_ref::<&str>().unwrap_or(&"panic")).to_owned())
        })
    };
    // Where only a clock tells, other work may stop any file for a while, but not three times.
    for _ in 0..3 {
        if read()? < PATIENCE {
            return Ok(());
        }
    }
    Err(format!("takes longer than {PATIENCE:?}"))
}

/// Runs everything through a reader; how many files, and what went wrong with the first few.
fn sweep(reader: &Reader) -> (usize, Vec<String>) {
    let files = files(reader);
    let mut faults = Vec::new();
    let mut told = |name: &str, bytes: &[u8]| {
        if let Err(fault) = fed(reader, bytes) {
            let text = String::from_utf8_lossy(bytes);
            faults.push(format!("{} {name}: {fault}\n{text}\n", reader.name));
        }
        faults.len()
    };
    for (path, bytes) in &files {
        told(&path.display().to_string(), bytes);
    }
    let mut dice = Dice::new(7);
    for number in 0..ACCIDENTS {
        let file = &files[dice.below(files.len())].1;
        let other = &files[dice.below(files.len())].1;
        let bytes = accident(file, other, &mut dice);
        if told(&format!("accident {number}"), &bytes) > 3 {
            break;
        }
    }
    (files.len() + ACCIDENTS, faults)
}

/// Peak memory of this process, bytes, where the system tells.
fn peak() -> Option<u64> {
    let about = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = about.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kilobytes: u64 = line.trim().trim_end_matches("kB").trim().parse().ok()?;
    Some(kilobytes << 10)
}

/// The sweep in a process of its own, so that its memory can be told from that of other tests.
#[test]
fn whatever_is_in_a_file_it_is_read_or_refused() {
    let output = std::process::Command::new(std::env::current_exe().unwrap())
        .args([
            "--exact",
            "hostile::sweep::all_of_it",
            "--ignored",
            "--nocapture",
        ])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(
        output.status.success() && said.contains("1 passed"),
        "{said}\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
#[ignore = "run by the test above, in a process of its own"]
fn all_of_it() {
    let swept: Vec<(usize, Vec<String>)> = READERS.iter().map(sweep).collect();
    let count: usize = swept.iter().map(|(count, _)| count).sum();
    let faults: Vec<String> = swept.into_iter().flat_map(|(_, faults)| faults).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(count >= 50_000, "{count}");
    if let Some(peak) = peak() {
        println!("{count} files, {} MB at most", peak >> 20);
        assert!(peak < MEMORY, "{peak} bytes");
    }
}
