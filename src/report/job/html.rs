//! A page as one HTML file: no script, nothing from the network, and every text escaped by the template library.

use super::page::{Alert, Block, Page, Section, Step};
use super::svg::svg;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Plain, for screen and paper; it stands in the file itself.
const STYLE: &str = include_str!("page.css");

/// The browser refuses what this page never asks for, even if something slipped in.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'";

/// The file.
pub fn html(page: &Page) -> String {
    let mut charts = 0;
    let sections: Vec<Markup> = page.sections.iter().map(|s| section(s, &mut charts)).collect();
    let whole = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (page.title) " – " (page.kind) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    p.kind { (page.kind) }
                    h1 { (page.title) }
                    @for fact in &page.facts { p.fact { (fact) } }
                }
                main {
                    @if !page.lead.is_empty() { p.lead { (page.lead) } }
                    @for section in &sections { (section) }
                }
            }
        }
    };
    whole.into_string() + "\n"
}

fn section(section: &Section, charts: &mut usize) -> Markup {
    let steps = section.blocks.iter().filter(|b| matches!(b, Block::Step(_))).count();
    let blocks: Vec<Markup> = section.blocks.iter().map(|b| block(b, charts)).collect();
    html! {
        section class=[(steps > 0).then_some("steps")] id=[(steps > 0).then_some("all-steps")] {
            h2 { (section.title) }
            @for block in &blocks { (block) }
            @if steps > 1 { p.all { a href="#all-steps" { "Show all " (steps) " steps" } } }
        }
    }
}

fn block(block: &Block, charts: &mut usize) -> Markup {
    match block {
        Block::Title(text) => html! { h3 { (text) } },
        Block::Text(text) => html! { p { (text) } },
        Block::Quote(text) => html! { blockquote { p { (text) } } },
        Block::List(lines) => list(lines),
        Block::Table(head, rows) => table(head, rows),
        Block::Alert(alert) => warning(alert),
        Block::Step(one) => step(one),
        Block::Chart(chart) => {
            *charts += 1;
            html! {
                figure {
                    h3 { (chart.title) }
                    (svg(chart, *charts))
                    figcaption { "Limits: " (chart.limits()) ". Measured: " (chart.words()) "." }
                }
            }
        }
    }
}

fn list(lines: &[String]) -> Markup {
    html! { ul { @for line in lines { li { (line) } } } }
}

fn table(head: &[String], rows: &[Vec<String>]) -> Markup {
    html! {
        table {
            thead { tr { @for cell in head { th scope="col" { (cell) } } } }
            tbody { @for row in rows { tr { @for cell in row { td { (cell) } } } } }
        }
    }
}

fn warning(alert: &Alert) -> Markup {
    html! {
        div class=(format!("alert {}", alert.level)) {
            h3 { (alert.heading()) }
            @for line in &alert.lines { p { (line) } }
        }
    }
}

fn step(step: &Step) -> Markup {
    html! {
        article.step id=(format!("step-{}", step.number)) {
            h3 { (step.number) ". " (step.title) }
            @for line in &step.effort { p.effort { (line) } }
            @for line in &step.cautions { p.caution { strong { "Caution. " } (line) } }
            @if !step.how.is_empty() { details open { summary { "How, and what to read it by" } (list(&step.how)) } }
            @if !step.ways.is_empty() {
                ul.ways { @for (found, then, to) in &step.ways { li { (way(found, then, *to)) } } }
            }
        }
    }
}

fn way(found: &str, then: &str, to: Option<usize>) -> Markup {
    let words = html! { span.found { (found) } " " span.then { (then) } };
    match to {
        Some(number) => html! { a href=(format!("#step-{number}")) { (words) } },
        None => html! { div.end { (words) } },
    }
}
