//! The gaps of all venues on one scale, seconds per kilometre, each with its interval.

use super::looks::{look, looks, name, venue_name};
use crate::report::chart::{Axis, Canvas, Figure, INK, LETTERS, Plane, Size, Table, cut, ink};
use crate::report::format::{HELD, decimal, of_draws, told_of};
use crate::report::rank::words::seconds;
use crate::report::rank::{Answer, Venue};
use crate::report::svg::Anchor;
use crate::study::{Verdict, Word};

const HEAD: f64 = 46.0;

/// One venue's gap on the common scale: above zero the second spec of the study is behind.
struct Gap {
    name: String,
    word: Word,
    look: usize,
    /// Median, low and high, s/km.
    at: [f64; 3],
}

/// The chart; nothing where fewer than two specs or no verdict is there.
pub fn figure(answer: &Answer) -> Option<Figure> {
    let gaps: Vec<Gap> = answer.venues().filter_map(|v| gap(answer, &v)).collect();
    if gaps.is_empty() {
        return None;
    }
    let sides = sides(answer);
    // A bar that is clear of the line by less than anyone can use is no certainty.
    let clear = gaps.iter().filter(|g| g.word == Word::Clear).count();
    let title = match (clear, gaps.len()) {
        (0, _) => {
            "At no venue is the choice beyond doubt: either may be ahead where a bar crosses \
                   the line"
                .to_owned()
        }
        (clear, all) if clear == all => {
            "At every venue one spec is clearly ahead: no bar crosses the line".to_owned()
        }
        (clear, all) => format!(
            "Clear at {clear} of {all} venues: either may be ahead where a bar crosses the line"
        ),
    };
    Some(Figure::new("gaps", title, table(answer), |size| {
        (draw(answer, &gaps, &sides, size), None)
    }))
}

/// What lies to the left and to the right of the line.
fn sides(answer: &Answer) -> [String; 2] {
    match answer.engines.list.len() {
        2 => [0, 1].map(|spec| format!("{} ahead", name(answer, spec))),
        _ => [
            "the second named ahead".to_owned(),
            "the first named".to_owned(),
        ],
    }
}

fn gap(answer: &Answer, venue: &Venue) -> Option<Gap> {
    let verdict = venue.verdict()?;
    let km = venue.run.length / 1000.0;
    let gap = verdict.gap;
    let at = [gap.median, gap.low, gap.high].map(|s| s / km);
    // With two specs the first one's side is the left.
    let turned = answer.engines.list.len() == 2 && verdict.leader == 0;
    Some(Gap {
        name: match answer.engines.list.len() {
            2 => venue_name(venue),
            _ => format!(
                "{}: {}, {}",
                venue_name(venue),
                name(answer, verdict.leader),
                name(answer, verdict.next)
            ),
        },
        word: verdict.word,
        look: look(answer, verdict.leader),
        at: if turned { [-at[0], -at[2], -at[1]] } else { at },
    })
}

fn table(answer: &Answer) -> Table {
    let wins = format!("wins of {}", told_of(answer.plan.draws));
    let within = format!("{} lie within, s", of_draws(HELD, answer.plan.draws));
    let mut table = Table::new(["venue", "ahead", "by, s", &within, "s/km", &wins, "verdict"]);
    for venue in answer.venues() {
        let Some(verdict) = venue.verdict() else {
            continue;
        };
        table.row(row(answer, &venue, verdict));
    }
    table
}

fn row(answer: &Answer, venue: &Venue, verdict: &Verdict) -> Vec<String> {
    let kind = venue.entry.course.kind;
    let gap = verdict.gap;
    vec![
        venue_name(venue),
        name(answer, verdict.leader),
        seconds(gap.median, kind),
        format!("{} to {}", seconds(gap.low, kind), seconds(gap.high, kind)),
        decimal(gap.median / (venue.run.length / 1000.0), 2),
        decimal(
            told_of(answer.plan.draws) as f64 * verdict.wins[verdict.leader],
            0,
        ),
        verdict.word.text().to_owned(),
    ]
}

fn draw(answer: &Answer, gaps: &[Gap], sides: &[String; 2], size: Size) -> String {
    let sides_named = answer.engines.list.len() == 2;
    let step = size.pick(46.0, 34.0);
    let height = HEAD + step * gaps.len() as f64 + 46.0;
    let mut canvas = Canvas::new("gaps", size, height, looks(answer));
    let left = size.pick(14.0, if sides_named { 170.0 } else { 250.0 });
    let right = canvas.width - size.pick(14.0, 120.0);
    let most = gaps
        .iter()
        .flat_map(|g| g.at)
        .fold(0.02, |most: f64, v| most.max(v.abs()));
    let ends = (-1.1 * most, 1.1 * most);
    let plane = Plane {
        x: Axis::new(ends, (left, right)),
        y: Axis::new((0.0, 1.0), (height - 44.0, HEAD)),
    };
    plane.columns(&mut canvas, size.pick(4, 8));
    let zero = plane.x.at(0.0);
    canvas.rule((zero, HEAD - 8.0), (zero, height - 44.0), INK, 1.4);
    let room = 0.5 * (right - left) - 10.0;
    let said = [0, 1].map(|i| {
        let short = sides[i].trim_end_matches(" ahead");
        match crate::report::chart::width(&sides[i], LETTERS) <= room - 18.0 {
            true => sides[i].clone(),
            false => cut(short, LETTERS, room - 18.0),
        }
    });
    canvas.text((zero - 10.0, 24.0), &format!("← {}", said[0]), Anchor::End);
    canvas.text(
        (zero + 10.0, 24.0),
        &format!("{} →", said[1]),
        Anchor::Start,
    );
    for (i, gap) in gaps.iter().enumerate() {
        let middle = HEAD + step * (i as f64 + size.pick(0.68, 0.5));
        let label = match size {
            Size::Phone => (left, middle - 15.0, canvas.width - 150.0),
            Size::Desk => (12.0, middle + 4.0, left - 24.0),
        };
        canvas.text(
            (label.0, label.1),
            &cut(&gap.name, LETTERS, label.2),
            Anchor::Start,
        );
        let word = gap.word.text();
        canvas.note((canvas.width - 12.0, label.1), word, Anchor::End);
        let [at, low, high] = gap.at.map(|v| plane.x.at(v));
        let colour = ink(gap.look);
        canvas.rule((low, middle), (high, middle), colour, 3.0);
        for end in [low, high] {
            canvas.rule((end, middle - 5.0), (end, middle + 5.0), colour, 1.6);
        }
        canvas.mark((at, middle), gap.look);
    }
    let places = plane.x.places(size.pick(4, 8), 2);
    let held = of_draws(HELD, answer.plan.draws);
    plane.foot(
        &mut canvas,
        &format!("seconds per kilometre; {held} draws lie on the bar"),
        size.pick(4, 8),
        |v| decimal(v.abs(), places),
    );
    let about = format!(
        "A row a venue: the bar holds {held} draws of the gap between the specs, its mark is the middle one."
    );
    canvas.finish("Gaps at all venues", &about)
}
