//! The record as one page for a browser: everything in one file, nothing fetched, no script.
//!
//! The page is one table whose head and foot browsers repeat on every sheet they print (CSS 2.1, 17.2): so job, date and
//! cautions stand on all of them. Sheets of A4 and of Letter both take what is as wide as A4 less its margins.

use std::fmt::Write as _;

use super::content::{Content, Figure, Part, Section, Set, Table};
use crate::names::markup;
use crate::proof::CAUTION;
use crate::view::svg;

/// How the page looks.
const STYLE: &str = "\
@page{margin:12mm 12mm 15mm;@bottom-right{content:counter(page) ' of ' counter(pages);font:7pt 'DejaVu Sans',Verdana,Arial,sans-serif}}\
*{box-sizing:border-box}\
html{background:#fff}\
body{margin:0 auto;padding:4mm;max-width:194mm;background:#fff;color:#000;\
font:9.5pt/1.35 'DejaVu Sans',Verdana,Arial,sans-serif;overflow-wrap:anywhere}\
.sheet{width:100%;border-collapse:collapse;table-layout:fixed}\
.sheet>thead td,.sheet>tfoot td,.sheet>tbody>tr>td{padding:0}\
.head{display:flex;gap:6mm;justify-content:space-between;border-bottom:.4mm solid #000;padding-bottom:1mm;\
margin-bottom:3mm;font-size:8pt}\
.head b{flex:1 1 auto}\
.head span{flex:0 0 auto}\
.foot{border-top:.2mm solid #000;padding-top:1mm;margin-top:3mm;font-size:6.8pt;line-height:1.25}\
h1{font-size:17pt;line-height:1.2;margin:0 0 1mm}\
h2{font-size:12.5pt;margin:6mm 0 2mm;border-bottom:.2mm solid #777;break-after:avoid}\
h3{font-size:10pt;margin:4mm 0 1.5mm;break-after:avoid}\
p{margin:0 0 2mm;break-inside:avoid}\
h2+p,h3+p{break-after:avoid}\
section.own,section.own+section{break-before:page}\
.say{border:.5mm solid #000;padding:1.5mm 2.5mm;font-weight:700;break-inside:avoid}\
dl{font-size:8.4pt;line-height:1.27;display:grid;grid-template-columns:max-content minmax(0,1fr) max-content minmax(0,1fr);gap:.6mm 3mm;margin:0 0 2mm;break-inside:avoid;break-after:avoid}\
dl.wide{grid-template-columns:max-content minmax(0,1fr)}\
dt{color:#333}\
dd{margin:0;font-weight:700}\
table.rows{width:100%;border-collapse:collapse;table-layout:fixed;margin:0 0 2.5mm;font-size:7.6pt;line-height:1.25}\
.rows th,.rows td{border:.2mm solid #888;padding:.7mm 1mm;text-align:left;vertical-align:top}\
.rows th{font-weight:400;background:#eee;vertical-align:bottom}\
.rows .n{text-align:right;font-variant-numeric:tabular-nums}\
.rows tr{break-inside:avoid}\
table.short{break-inside:avoid}\
.rows tbody tr:nth-child(-n+2){break-after:avoid}\
.rows tbody tr:nth-last-child(-n+2){break-before:avoid}\
.rows thead{display:table-header-group}\
td.box{height:6.4mm;border:.4mm solid #000!important}\
.figures{display:flex;flex-wrap:wrap;gap:3mm;margin:0 0 2mm}\
.whole{display:inline-block;width:100%}\
.figures+p{break-before:avoid}\
figure{margin:0;break-inside:avoid;max-width:100%}\
figure svg{display:block;width:100%;height:auto}\
figcaption{font-size:7.4pt;line-height:1.25;color:#222}\
ul.checks{list-style:none;margin:0 0 3mm;padding:0}\
ul.checks li{padding:0 0 1.6mm 7mm;position:relative;break-inside:avoid}\
ul.checks li:before{content:'';position:absolute;left:0;top:.2mm;width:3.6mm;height:3.6mm;border:.35mm solid #000}\
.line{display:flex;gap:3mm;align-items:flex-end;height:10mm;break-inside:avoid}\
.line i{flex:1;border-bottom:.3mm solid #000;height:100%}\
.line span{font-style:normal}\
@media print{body{padding:0;max-width:none}}";

/// A table of no more rows stands on one sheet.
const SHORT: usize = 14;

/// The whole page.
pub(super) fn page(content: &Content) -> String {
    let mut out = String::new();
    let (name, about) = (markup(&content.name), markup(&content.about));
    let verdict = markup(&content.verdict);
    // Writing into a string cannot fail.
    let _ = write!(
        out,
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\">\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<title>{name}</title>\n<style>{STYLE}</style>\n</head>\n\
         <body>\n<table class=\"sheet\" role=\"presentation\">\n\
         <thead><tr><td><div class=\"head\"><b dir=\"auto\">{name}</b><span>{verdict}</span><span>{about}</span></div></td></tr></thead>\n\
         <tfoot><tr><td><div class=\"foot\">{caution}</div></td></tr></tfoot>\n<tbody><tr><td>\n<h1 dir=\"auto\">{name}</h1>\n",
        caution = markup(CAUTION)
    );
    for section in &content.sections {
        write_section(&mut out, section);
    }
    out.push_str("</td></tr></tbody>\n</table>\n</body>\n</html>\n");
    out
}

fn write_section(out: &mut String, section: &Section) {
    let own = if section.own_sheet { " class=\"own\"" } else { "" };
    // A heading that a drawing follows goes with it: browsers part them at the end of a sheet else.
    let whole = matches!(section.parts.first(), Some(Part::Figures(figures)) if figures.len() == 1);
    let _ = writeln!(out, "<section{own}>{}", if whole { "<div class=\"whole\">" } else { "" });
    let _ = writeln!(out, "<h2>{}</h2>", markup(&section.title));
    for (index, part) in section.parts.iter().enumerate() {
        write_part(out, part);
        if whole && index == 0 {
            out.push_str("</div>\n");
        }
    }
    out.push_str("</section>\n");
}

fn write_part(out: &mut String, part: &Part) {
    let _ = match part {
        Part::Heading(words) => writeln!(out, "<h3>{}</h3>", markup(words)),
        Part::Words(words) => writeln!(out, "<p>{}</p>", markup(words)),
        Part::Instruction(words) => writeln!(out, "<p class=\"say\">{}</p>", markup(words)),
        Part::Facts(facts) => {
            write_facts(out, facts);
            Ok(())
        }
        Part::Table(table) => {
            write_table(out, table);
            Ok(())
        }
        Part::Figures(figures) => {
            write_figures(out, figures);
            Ok(())
        }
        Part::Checks(checks) => {
            write_all(out, "<ul class=\"checks\">", checks, |words| format!("<li>{}</li>", markup(words)));
            writeln!(out, "</ul>")
        }
        Part::Lines(lines) => {
            write_all(out, "", lines, |words| {
                format!("<div class=\"line\"><span>{}</span><i></i></div>", markup(words))
            });
            writeln!(out)
        }
    };
}

fn write_all<T>(out: &mut String, before: &str, all: &[T], written: impl Fn(&T) -> String) {
    out.push_str(before);
    for one in all {
        out.push_str(&written(one));
    }
}

fn write_facts(out: &mut String, facts: &[(String, String)]) {
    // Long facts side by side would leave each a narrow column.
    let wide = facts.iter().any(|(_, is)| is.chars().count() > 60);
    let class = if wide { " class=\"wide\"" } else { "" };
    write_all(out, &format!("<dl{class}>"), facts, |(what, is)| {
        format!("<dt>{}</dt><dd dir=\"auto\">{}</dd>", markup(what), markup(is))
    });
    out.push_str("</dl>\n");
}

fn write_table(out: &mut String, table: &Table) {
    let all: f32 = table.columns.iter().map(|column| column.part).sum();
    // A short one goes whole onto the next sheet.
    let short = if table.rows.len() <= SHORT { " short" } else { "" };
    let _ = write!(out, "<table class=\"rows{short}\"><colgroup>");
    for column in &table.columns {
        let _ = write!(out, "<col style=\"width:{:.2}%\">", column.part / all * 100.0);
    }
    out.push_str("</colgroup><thead><tr>");
    for column in &table.columns {
        let class = if column.set == Set::Number { " class=\"n\"" } else { "" };
        let _ = write!(out, "<th{class}>{}</th>", markup(column.head));
    }
    out.push_str("</tr></thead><tbody>\n");
    for row in &table.rows {
        out.push_str("<tr>");
        for (cell, column) in row.iter().zip(&table.columns) {
            let _ = match column.set {
                Set::Words => write!(out, "<td dir=\"auto\">{}</td>", markup(cell)),
                Set::Number => write!(out, "<td class=\"n\">{}</td>", markup(cell)),
                Set::Box => write!(out, "<td class=\"box\">{}</td>", markup(cell)),
            };
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody></table>\n");
}

fn write_figures(out: &mut String, figures: &[Figure]) {
    out.push_str("<div class=\"figures\">");
    for figure in figures {
        let wide = figure.drawing.width * figure.scale;
        let _ = write!(
            out,
            "<figure style=\"width:{wide:.1}pt\">{}<figcaption>{}</figcaption></figure>",
            svg(&figure.drawing, &figure.caption),
            markup(&figure.caption)
        );
    }
    out.push_str("</div>\n");
}
