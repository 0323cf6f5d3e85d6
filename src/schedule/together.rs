//! [`quickest`](super::quickest) of many variants on roads of as many cells, cell by cell together: the
//! labels of all of them share lanes.

use super::candidates::Choice;
use super::labels::Label;
use super::menu::Menu;
use super::quickest::{Quickest, Workspace, ride, too_fast, whole};
use super::search::Sweep;
use super::starts::Starts;
use crate::lap::lanes::{Braker, Lanes, MOST_CARS, limits_of};
use crate::lap::{Cells, LapError, Machine};

/// One variant.
#[derive(Debug, Clone, Copy)]
pub struct Entrant<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// Its road.
    pub cells: &'a Cells,
    /// What is worth trying, if that is known.
    pub menu: Option<&'a Menu>,
}

/// Memory of a thread that drives many laps together: what the road allows every car, labels, lanes.
#[derive(Debug, Default)]
pub struct Pack {
    workspaces: Vec<Workspace>,
    lanes: Lanes,
}

impl Pack {
    fn make_room(&mut self, laps: usize) {
        if self.workspaces.len() < laps {
            self.workspaces.resize_with(laps, Workspace::default);
        }
    }
}

/// Laps that a pack drives together at most.
pub const PACK: usize = MOST_CARS;

/// Seconds of the fastest schedule of every variant, the same to the bit as
/// [`quickest`](super::quickest) one by one.
///
/// # Errors
/// For each as there.
pub fn quickest_of(entrants: &[Entrant], pack: &mut Pack) -> Vec<Result<Quickest, LapError>> {
    pack.make_room(entrants.len().min(PACK));
    let groups = entrants.chunks(PACK);
    groups.flat_map(|group| drive(group, pack)).collect()
}

fn drive(group: &[Entrant], pack: &mut Pack) -> Vec<Result<Quickest, LapError>> {
    let mut tasks = tasks(group, &mut pack.workspaces, &mut pack.lanes);
    run(&mut tasks, &mut pack.lanes);
    tasks
        .into_iter()
        .map(|task| task.and_then(Task::result))
        .collect()
}

impl Menu {
    /// What is worth trying on a course, from laps of some machines, each of which may have its own
    /// cells as long as they are as many. Machines that cannot be driven add nothing.
    pub fn of(pilots: &[(&Machine, &Cells)], cells: &Cells, pack: &mut Pack) -> Self {
        let mut menu = Self::new(cells);
        let entrants: Vec<Entrant> = pilots
            .iter()
            .map(|&(machine, cells)| Entrant {
                machine,
                cells,
                menu: None,
            })
            .collect();
        for group in entrants.chunks(PACK) {
            pack.make_room(group.len());
            let mut tasks = tasks(group, &mut pack.workspaces, &mut pack.lanes);
            for task in tasks.iter_mut().flatten() {
                task.sweep.found = Some(Self::new(cells));
            }
            run(&mut tasks, &mut pack.lanes);
            for mut found in tasks.into_iter().flatten().filter_map(|t| t.sweep.found) {
                found.lap_ends();
                menu.add(&found);
            }
        }
        menu.spread(cells);
        menu
    }
}

/// The work of a group, with what the road allows each car.
fn tasks<'a>(
    group: &[Entrant<'a>],
    workspaces: &'a mut [Workspace],
    lanes: &mut Lanes,
) -> Vec<Result<Task<'a>, LapError>> {
    let mut brakers: Vec<Braker> = (group.iter().zip(&mut *workspaces))
        .map(|(entrant, workspace)| Braker {
            machine: entrant.machine,
            cells: entrant.cells,
            limits: &mut workspace.limits,
        })
        .collect();
    let allowed = limits_of(&mut brakers);
    let each = group.iter().zip(workspaces).zip(allowed).enumerate();
    each.map(|(car, ((entrant, workspace), allowed))| {
        lanes.load(car, entrant.machine);
        allowed.map(|()| Task::new(entrant, workspace))
    })
    .collect()
}

/// Sweeps all laps that the tasks ask for, each at a place of its own.
fn run(tasks: &mut [Result<Task, LapError>], lanes: &mut Lanes) {
    let each = tasks.iter_mut().enumerate();
    let mut running: Vec<(usize, &mut Task)> = each
        .filter_map(|(car, task)| Some((car, task.as_mut().ok()?)))
        .filter_map(|(car, task)| task.begins().then_some((car, task)))
        .collect();
    while !running.is_empty() {
        lanes.vacate();
        let mut wanted = 0;
        for (_, task) in &mut running {
            wanted += task.sweep.keep(lanes);
        }
        lanes.want(wanted);
        for (car, task) in &mut running {
            task.sweep.enter(*car, lanes);
        }
        lanes.step();
        running.retain_mut(|(_, task)| task.steps(lanes));
    }
}

/// The laps still to be swept.
enum Laps {
    /// One from where the course starts.
    Open(Option<Label>),
    /// All that a closed course asks for.
    Closed(Starts),
}

/// One variant's work.
struct Task<'a> {
    sweep: Sweep<'a>,
    laps: Laps,
    /// What came of the only lap of an open course.
    open: Result<(), LapError>,
    /// Known from the start.
    known: Option<Result<Quickest, LapError>>,
}

impl<'a> Task<'a> {
    /// The work on limits that have been computed.
    fn new(entrant: &Entrant<'a>, workspace: &'a mut Workspace) -> Self {
        let (machine, cells) = (entrant.machine, entrant.cells);
        let Workspace { limits, memory } = workspace;
        let limits = &*limits;
        let ride = ride(machine, cells, limits);
        let known = too_fast(cells, limits).then(|| whole(machine, cells, limits));
        let mut sweep = Sweep::new(ride, Choice::AsDriven, None, memory);
        sweep.menu = entrant.menu;
        let laps = if known.is_some() {
            Laps::Open(None)
        } else if cells.closed {
            Laps::Closed(Starts::anywhere(&mut sweep))
        } else {
            Laps::Open(Some(sweep.start()))
        };
        Self {
            sweep,
            laps,
            open: Ok(()),
            known,
        }
    }

    /// Begins the next lap; false where there is none.
    fn begins(&mut self) -> bool {
        let next = match &mut self.laps {
            Laps::Open(start) => start.take(),
            Laps::Closed(starts) => starts.next(&mut self.sweep),
        };
        if let Some(start) = next {
            self.sweep.begin(start);
        }
        next.is_some()
    }

    /// Takes over what the lanes did, and does the rest; false where no lap is left to be driven.
    fn steps(&mut self, lanes: &Lanes) -> bool {
        let ran = match self.sweep.steps(Some(lanes)) {
            Ok(true) => return true,
            swept => swept.map(|_| ()),
        };
        match &mut self.laps {
            Laps::Open(_) => self.open = ran,
            Laps::Closed(starts) => starts.ran(&mut self.sweep, ran),
        }
        self.begins()
    }

    fn result(self) -> Result<Quickest, LapError> {
        if let Some(known) = self.known {
            return known;
        }
        let sweep = self.sweep;
        let time = match self.laps {
            Laps::Open(_) => self.open.map(|()| sweep.memory.now[0].time),
            Laps::Closed(starts) => starts
                .best()
                .and_then(|best| best.map(|b| b.time).ok_or(LapError::EmptyCourse)),
        };
        match time {
            Ok(time) => Ok(Quickest {
                time,
                work: sweep.work,
                strange: sweep.strange,
            }),
            Err(_) => whole(sweep.ride.machine, sweep.ride.cells, sweep.ride.limits),
        }
    }
}
