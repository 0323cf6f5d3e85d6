//! Copies the program, draws mutants and builds them all at once, each behind its switch.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_chacha::ChaCha8Rng;
use serde::{Deserialize, Serialize};

use crate::render::{Chosen, render};
use crate::sites::{Site, modules_apart, sites};

/// A mutant as it was planted.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Mutant {
    pub id: usize,
    pub file: String,
    pub line: usize,
    pub told: String,
}

/// What was planted, and what was drawn but did not compile.
#[derive(Debug, Serialize, Deserialize)]
pub struct Planted {
    pub seed: u64,
    pub candidates: usize,
    /// In random order, every group of rooms in step with its share, so that a hunt that is cut short
    /// leaves a fair sample.
    pub mutants: Vec<Mutant>,
    pub refused: Vec<Mutant>,
    /// The test programs.
    pub programs: Vec<PathBuf>,
}

struct Candidate {
    file: String,
    site: Site,
}

/// Rooms drawn from together, with how many.
pub type Share<'a> = (&'a [&'a str], usize);

/// Draws, plants and builds.
///
/// # Errors
/// Where a file cannot be read or written, or nothing builds.
pub fn plant(source: &Path, scratch: &Path, seed: u64, shares: &[Share]) -> io::Result<Planted> {
    copy(source, scratch)?;
    fs::write(scratch.join("src/mutant.rs"), include_str!("mutant.rs.txt"))?;
    let library = scratch.join("src/lib.rs");
    let text = fs::read_to_string(&library)?;
    fs::write(&library, text + "\npub mod mutant;\n")?;

    let candidates = candidates(source, shares)?;
    let mut queues = Vec::new();
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    for (rooms, count) in shares {
        let mut queue: Vec<usize> = (0..candidates.len())
            .filter(|&i| {
                rooms
                    .iter()
                    .any(|r| candidates[i].file.starts_with(&format!("src/{r}/")))
            })
            .collect();
        println!(
            "{}: {} places, {count} drawn",
            rooms.join(", "),
            queue.len()
        );
        queue.shuffle(&mut random);
        queues.push((queue, *count));
    }
    let mut refused = BTreeSet::new();
    loop {
        let drawn: BTreeSet<usize> = queues
            .iter()
            .flat_map(|(queue, count)| queue.iter().filter(|i| !refused.contains(*i)).take(*count))
            .copied()
            .collect();
        write(source, scratch, &candidates, &drawn)?;
        let faulty = faulty(scratch, &drawn)?;
        println!("{} drawn, {} do not compile", drawn.len(), faulty.len());
        if faulty.is_empty() {
            let named = |id: &usize| named(&candidates, *id);
            return Ok(Planted {
                seed,
                candidates: candidates.len(),
                mutants: in_step(&queues, &refused).iter().map(named).collect(),
                refused: refused.iter().map(named).collect(),
                programs: build(scratch)?,
            });
        }
        refused.extend(faulty);
    }
}

/// Drawn places of all queues, none ahead of its share.
fn in_step(queues: &[(Vec<usize>, usize)], refused: &BTreeSet<usize>) -> Vec<usize> {
    let mut placed: Vec<(f64, usize)> = Vec::new();
    for (queue, count) in queues {
        let drawn = queue.iter().filter(|i| !refused.contains(*i)).take(*count);
        placed.extend(
            drawn
                .enumerate()
                .map(|(at, &id)| (at as f64 / *count as f64, id)),
        );
    }
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    placed.into_iter().map(|(_, id)| id).collect()
}

fn named(candidates: &[Candidate], id: usize) -> Mutant {
    Mutant {
        id,
        file: candidates[id].file.clone(),
        line: candidates[id].site.line,
        told: candidates[id].site.told.clone(),
    }
}

/// Copies every file that the repository knows.
fn copy(source: &Path, scratch: &Path) -> io::Result<()> {
    let listed = Command::new("git")
        .arg("ls-files")
        .current_dir(source)
        .output()?;
    for name in String::from_utf8_lossy(&listed.stdout).lines() {
        let to = scratch.join(name);
        fs::create_dir_all(to.parent().unwrap_or(scratch))?;
        fs::copy(source.join(name), to)?;
    }
    Ok(())
}

fn candidates(source: &Path, shares: &[Share]) -> io::Result<Vec<Candidate>> {
    let mut all = Vec::new();
    for room in shares.iter().flat_map(|(rooms, _)| *rooms) {
        let mut files = Vec::new();
        walk(&source.join("src").join(room), &mut files)?;
        let mut apart = BTreeSet::new();
        for path in &files {
            let text = fs::read_to_string(path)?;
            let beside = match path.file_name() {
                Some(name) if name != "mod.rs" => path.with_extension(""),
                _ => path.with_file_name(""),
            };
            for name in modules_apart(&text).map_err(io::Error::other)? {
                apart.insert(beside.join(&name).with_extension("rs"));
                apart.insert(beside.join(&name));
            }
        }
        files.retain(|path| !path.ancestors().any(|part| apart.contains(part)));
        files.sort();
        for path in files {
            let text = fs::read_to_string(&path)?;
            let name = path.strip_prefix(source).unwrap_or(&path).to_string_lossy();
            let found = sites(&text).map_err(io::Error::other)?;
            let file = name.into_owned();
            all.extend(found.into_iter().map(|site| Candidate {
                file: file.clone(),
                site,
            }));
        }
    }
    Ok(all)
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            walk(&path, files)?;
        } else {
            files.push(path);
        }
    }
    Ok(())
}

/// Writes every file that has a candidate, with those drawn.
fn write(
    source: &Path,
    scratch: &Path,
    candidates: &[Candidate],
    drawn: &BTreeSet<usize>,
) -> io::Result<()> {
    let mut files: BTreeMap<&str, Vec<Chosen>> = BTreeMap::new();
    for (id, candidate) in candidates.iter().enumerate() {
        let chosen = files.entry(&candidate.file).or_default();
        if drawn.contains(&id) {
            chosen.push(Chosen {
                id,
                site: &candidate.site,
            });
        }
    }
    for (file, chosen) in files {
        let text = fs::read_to_string(source.join(file))?;
        fs::write(scratch.join(file), render(&text, &chosen))?;
    }
    Ok(())
}

fn cargo(scratch: &Path, words: &[&str]) -> Command {
    let mut cargo = Command::new("cargo");
    cargo.args(words).args(["--message-format", "json"]);
    for setting in ["opt-level=2", "debug=false", "incremental=false"] {
        cargo.args(["--config", &format!("profile.dev.{setting}")]);
    }
    cargo.current_dir(scratch).stderr(Stdio::inherit());
    cargo
}

/// The mutants that stand nearest before each error of the compiler.
fn faulty(scratch: &Path, drawn: &BTreeSet<usize>) -> io::Result<BTreeSet<usize>> {
    let output = cargo(scratch, &["check", "--lib"]).output()?;
    let mut faulty = BTreeSet::new();
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        let message: serde_json::Value = serde_json::from_str(line)?;
        let message = &message["message"];
        let spans = message["spans"]
            .as_array()
            .filter(|_| message["level"] == "error");
        for span in spans
            .into_iter()
            .flatten()
            .filter(|span| span["is_primary"] == true)
        {
            let text = fs::read_to_string(scratch.join(span["file_name"].as_str().unwrap_or("")))?;
            let end = span["byte_end"].as_u64().unwrap_or(0) as usize;
            let before = text[..end]
                .rsplit("crate::mutant::on(")
                .next()
                .unwrap_or("");
            let id = before.split(')').next().and_then(|id| id.parse().ok());
            if let Some(id) = id.filter(|id| drawn.contains(id)) {
                faulty.insert(id);
            } else {
                println!("{}", message["rendered"].as_str().unwrap_or(""));
            }
        }
    }
    if !output.status.success() && faulty.is_empty() {
        return Err(io::Error::other("the mutated program does not compile"));
    }
    Ok(faulty)
}

fn build(scratch: &Path) -> io::Result<Vec<PathBuf>> {
    let words = ["test", "--no-run", "--lib", "--bins", "--test", "main"];
    let output = cargo(scratch, &words).output()?;
    let mut programs = Vec::new();
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        let message: serde_json::Value = serde_json::from_str(line)?;
        let test = message["profile"]["test"] == true;
        if let Some(path) = message["executable"].as_str().filter(|_| test) {
            programs.push(PathBuf::from(path));
        }
    }
    if output.status.success() {
        Ok(programs)
    } else {
        Err(io::Error::other("the tests do not build"))
    }
}
