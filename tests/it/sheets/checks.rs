//! Complete lists, kept complete by the compiler.

use waymark::outside::sheet::{Kind, PassedOver, SheetFault};

/// One fault of each kind.
pub fn all_faults() -> Vec<SheetFault> {
    // A new fault does not compile here until it is in the list below.
    let _ = |fault: SheetFault| match fault {
        SheetFault::Empty | SheetFault::TooManyBytes { .. } | SheetFault::TooManyRows { .. } => {}
        SheetFault::TooManyColumns { .. } | SheetFault::TooManyWorksheets { .. } | SheetFault::CellTooLong { .. } => {}
        SheetFault::TooMuchUnpacked { .. } | SheetFault::Foreign(_) | SheetFault::Damaged(_) => {}
        SheetFault::QuoteNeverClosed { .. } | SheetFault::OnlyHidden | SheetFault::NoHeading { .. } => {}
        SheetFault::NoRows { .. } => {}
    };
    vec![
        SheetFault::Empty,
        SheetFault::TooManyBytes { most: 0 },
        SheetFault::TooManyRows { most: 0 },
        SheetFault::TooManyColumns { most: 0 },
        SheetFault::TooManyWorksheets { most: 0 },
        SheetFault::CellTooLong { row: 0, column: String::new(), most: 0 },
        SheetFault::TooMuchUnpacked { most: 0 },
        SheetFault::Foreign(Kind::Zip),
        SheetFault::Damaged(""),
        SheetFault::QuoteNeverClosed { row: 0 },
        SheetFault::OnlyHidden,
        SheetFault::NoHeading { row: 0 },
        SheetFault::NoRows { heading: 0 },
    ]
}

/// Every reason for passing over a row.
pub fn all_reasons() -> [PassedOver; 6] {
    let _ = |why: PassedOver| match why {
        PassedOver::SeparatorLine | PassedOver::BeforeHeading | PassedOver::Blank => {}
        PassedOver::HeadingAgain | PassedOver::Totals | PassedOver::Note => {}
    };
    use PassedOver::{BeforeHeading, Blank, HeadingAgain, Note, SeparatorLine, Totals};
    [SeparatorLine, BeforeHeading, Blank, HeadingAgain, Totals, Note]
}

/// Every kind of file that is refused.
pub fn all_kinds() -> [Kind; 12] {
    let _ = |kind: Kind| match kind {
        Kind::OldWorkbook | Kind::LockedWorkbook | Kind::BinaryWorkbook | Kind::OpenDocument | Kind::Numbers => {}
        Kind::OfficeDocument | Kind::Pdf | Kind::WebPage | Kind::Xml | Kind::Picture | Kind::Zip | Kind::Unknown => {}
    };
    [
        Kind::OldWorkbook,
        Kind::LockedWorkbook,
        Kind::BinaryWorkbook,
        Kind::OpenDocument,
        Kind::Numbers,
        Kind::OfficeDocument,
        Kind::Pdf,
        Kind::WebPage,
        Kind::Xml,
        Kind::Picture,
        Kind::Zip,
        Kind::Unknown,
    ]
}
