//! The season on the page: one spec throughout or changes between events, and what to buy.

use serde::Serialize;

use super::Page;
use crate::report::chart::Table;
use crate::report::season::{self, spend};

/// What the template is given.
#[derive(Serialize)]
pub struct View {
    lines: Vec<String>,
    plans: Table,
    events: Option<String>,
    counted: String,
    spend: Option<Spend>,
}

/// What to spend money on.
#[derive(Serialize)]
struct Spend {
    first: String,
    list: Table,
    frontier: Option<Table>,
    pairs: Option<&'static str>,
    dearer: Option<String>,
    caution: String,
}

/// The section; nothing for a single event.
pub fn view(page: &Page) -> Option<View> {
    let season = page.season.as_ref()?;
    Some(View {
        lines: (season::answers(season).into_iter())
            .chain(season::turned(season))
            .collect(),
        plans: Table::of(&season::table_of(season)),
        events: season::events_of_best(season),
        counted: season::counted(season),
        spend: page.spend.as_ref().map(spent),
    })
}

fn spent(answer: &spend::Answer) -> Spend {
    Spend {
        first: spend::first(answer),
        list: Table::of(&spend::list(answer)),
        frontier: spend::frontier(answer).as_ref().map(Table::of),
        pairs: (!answer.money.exhaustive).then_some(spend::PAIRS),
        dearer: spend::dearer(answer),
        caution: spend::caution(answer.study),
    }
}
