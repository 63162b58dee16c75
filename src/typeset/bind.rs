//! Several PDFs bound into one to be printed on both sides: each begins on a right-hand page, its pages as
//! they are.
//!
//! The pages are taken over as they lie there; the tags for those who listen to a document are not. What is
//! bound is for a printer.

use std::sync::Arc;

use krilla::geom::Size;
use krilla::page::PageSettings;
use krilla::pdf::{Pdf, PdfDocument};

/// A4, in points.
const A4: (f32, f32) = (595.276, 841.89);

/// PDFs that were bound.
#[derive(Debug)]
pub struct Bound {
    /// The whole.
    pub pdf: Vec<u8>,
    /// The page on which each begins, from 1; always odd.
    pub begins: Vec<usize>,
    /// How many pages.
    pub pages: usize,
}

/// How many pages a PDF has; `None` if it cannot be read.
pub fn pages_of(file: &[u8]) -> Option<usize> {
    let pdf = Pdf::new(Arc::new(file.to_vec())).ok()?;
    Some(pdf.pages().len()).filter(|count| *count > 0)
}

/// Binds PDFs in their order.
///
/// # Errors
/// The position of one that cannot be read; `None` if the whole cannot be written.
pub fn bind(files: &[Vec<u8>]) -> Result<Bound, Option<usize>> {
    let mut document = krilla::Document::new();
    let (mut pages, mut begins) = (0, Vec::new());
    for (at, file) in files.iter().enumerate() {
        if pages % 2 == 1 {
            let size = Size::from_wh(A4.0, A4.1).expect("the size of a sheet is not nothing");
            document.start_page_with(PageSettings::new(size)).finish();
            pages += 1;
        }
        let pdf = Pdf::new(Arc::new(file.clone())).map_err(|_| Some(at))?;
        let count = pdf.pages().len();
        if count == 0 {
            return Err(Some(at));
        }
        document.embed_pdf_pages(&PdfDocument::new(Arc::new(pdf)), &(0..count).collect::<Vec<_>>());
        begins.push(pages + 1);
        pages += count;
    }
    let pdf = document.finish().map_err(|_| None)?;
    Ok(Bound { pdf, begins, pages })
}
