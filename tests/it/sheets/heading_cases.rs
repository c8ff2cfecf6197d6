//! Headings that are not simply the first row, and rows that are not part of the table.

use super::{Case, table};

pub fn cases() -> Vec<Case> {
    vec![
        table(
            "titles above the heading",
            "Summer sign-ups\nPrinted:,3 May\n\nName,Town,Age,Phone\nAna,Elm,9,5551234567\nBo,Oak,8,5557654321\n",
            &[
                "Name|Town|Age|Phone",
                "5: Ana|Elm|9|5551234567",
                "6: Bo|Oak|8|5557654321",
                "~ 1-1 BeforeHeading",
                "~ 2-2 BeforeHeading",
                "~ 3-3 Blank",
                "= Utf8 ,",
            ],
        ),
        table(
            "two rows of heading, the upper with gaps",
            "Child,,Parent,\nFirst,Last,First,Last\nAna,Ruiz,Eva,Ruiz\n",
            &["Child First|Child Last|Parent First|Parent Last", "3: Ana|Ruiz|Eva|Ruiz", "= Utf8 ,"],
        ),
        table(
            "two rows of heading below a title, the groups few",
            "All families\nChild,,,,Parent,,\nFirst,Last,Born,Grade,First,Last,Phone\nAna,Ruiz,1/2/14,4,Eva,Ruiz,5551234567\nBo,Lee,1/3/14,4,Al,Lee,5551234568\n",
            &[
                "Child First|Child Last|Child Born|Child Grade|Parent First|Parent Last|Parent Phone",
                "4: Ana|Ruiz|1/2/14|4|Eva|Ruiz|5551234567",
                "5: Bo|Lee|1/3/14|4|Al|Lee|5551234568",
                "~ 1-1 BeforeHeading",
                "= Utf8 ,",
            ],
        ),
        table(
            "groups over names that differ, known by the values below",
            "Child,,Parent,\nName,Born,Mother,Phone\nAna,1/2/14,Eva,5551234567\n",
            &["Child Name|Child Born|Parent Mother|Parent Phone", "3: Ana|1/2/14|Eva|5551234567", "= Utf8 ,"],
        ),
        table(
            "a gap in the heading that is no group",
            "First,,Notes,Town\nAna,Ruiz,none,Elm\nBo,Lee,none,Oak\n",
            &["First|Column B|Notes|Town", "2: Ana|Ruiz|none|Elm", "3: Bo|Lee|none|Oak", "= Utf8 ,"],
        ),
        table(
            "a gap in the heading, and a family name that comes twice",
            "First,Last,,Parent,Family\nAna,Ruiz,x,Eva,Ruiz\nBo,Lee,y,Al,Lee\n",
            &["First|Last|Column C|Parent|Family", "2: Ana|Ruiz|x|Eva|Ruiz", "3: Bo|Lee|y|Al|Lee", "= Utf8 ,"],
        ),
        table(
            "headings that repeat, and one that looks like the answer to it",
            "Name,Name,Name (2),name\na,b,c,d\n",
            &["Name|Name (2)|Name (2) (2)|name (3)", "2: a|b|c|d", "= Utf8 ,"],
        ),
        table(
            "a heading over lines and with dates in it",
            "\"First\nname\",\"Last  name\",6/15\nAna,Ruiz,x\n",
            &["First name|Last name|6/15", "3: Ana|Ruiz|x", "= Utf8 ,"],
        ),
        table(
            "the heading again after a page break",
            "Name,Town\nAna,Elm\nNAME,town \nBo,Oak\n",
            &["Name|Town", "2: Ana|Elm", "4: Bo|Oak", "~ 3-3 HeadingAgain", "= Utf8 ,"],
        ),
        table(
            "both rows of heading again",
            "Child,,Parent,\nFirst,Last,First,Last\nAna,Ruiz,Eva,Ruiz\nChild,,Parent,\nFirst,Last,First,Last\nBo,Lee,Al,Lee\n",
            &[
                "Child First|Child Last|Parent First|Parent Last",
                "3: Ana|Ruiz|Eva|Ruiz",
                "6: Bo|Lee|Al|Lee",
                "~ 4-4 HeadingAgain",
                "~ 5-5 HeadingAgain",
                "= Utf8 ,",
            ],
        ),
        table(
            "blank columns before and between",
            ",,Name,,Town\n,,Ana,,Elm\n",
            &["Name|Town", "2: Ana|Elm", "= Utf8 ,"],
        ),
        table(
            "a column with content and no heading",
            "Name,,Town\nAna,x,Elm\nBo,,Oak\n",
            &["Name|Column B|Town", "2: Ana|x|Elm", "3: Bo||Oak", "= Utf8 ,"],
        ),
        table(
            "sums at the end",
            "Name,Age,Fee\nAna,9,5\nTotal,,5\nSum:,9,\"$1,005.00\"\nTotal Count,1,\n",
            &["Name|Age|Fee", "2: Ana|9|5", "~ 3-3 Totals", "~ 4-4 Totals", "~ 5-5 Totals", "= Utf8 ,"],
        ),
        table(
            "counts at the end",
            "Name,Age,Fee\nAna,9,5\n\nN = 34\n,,34\nTotals: 12\n",
            &["Name|Age|Fee", "2: Ana|9|5", "~ 3-3 Blank", "~ 4-4 Totals", "~ 5-5 Totals", "~ 6-6 Totals", "= Utf8 ,"],
        ),
        table(
            "sums and counts at the end, in Spanish",
            "Nombre,Edad,Pago\nAna,9,5\nTotal,,5\nTOTALES:,9,5\nSuma,9,5\nCuenta: 1\n",
            &[
                "Nombre|Edad|Pago",
                "2: Ana|9|5",
                "~ 3-3 Totals",
                "~ 4-4 Totals",
                "~ 5-5 Totals",
                "~ 6-6 Totals",
                "= Utf8 ,",
            ],
        ),
        table(
            "remarks at the end, above them a short row",
            "Name,Age,Fee\nAna,9,5\nMary Beth,,\nPlease call before you come.\n* unpaid as of May\n",
            &["Name|Age|Fee", "2: Ana|9|5", "3: Mary Beth||", "~ 4-4 Note", "~ 5-5 Note", "= Utf8 ,"],
        ),
        table(
            "a family called Total, and a sum in the middle",
            "Last,First,Age\nTotal,Ana,9\nTotal,,12\nBo,Lee,8\n",
            &["Last|First|Age", "2: Total|Ana|9", "3: Total||12", "4: Bo|Lee|8", "= Utf8 ,"],
        ),
    ]
}
