-- Prints that were measured, and what a trial asked: the evidence from which habits are learned.
CREATE TABLE measured_print (
    name TEXT PRIMARY KEY COLLATE NOCASE,
    printer TEXT NOT NULL COLLATE NOCASE REFERENCES printer (name) ON DELETE CASCADE ON UPDATE CASCADE,
    nozzle REAL NOT NULL,
    plastic TEXT NOT NULL COLLATE NOCASE REFERENCES plastic (name) ON DELETE CASCADE ON UPDATE CASCADE,
    measured_on TEXT NOT NULL
) STRICT;

CREATE TABLE feature (
    print TEXT NOT NULL COLLATE NOCASE REFERENCES measured_print (name) ON DELETE CASCADE ON UPDATE CASCADE,
    place INTEGER NOT NULL,
    feature TEXT NOT NULL,
    kind TEXT NOT NULL,
    drawn REAL NOT NULL,
    caliper_sd REAL NOT NULL,
    confirmed INTEGER NOT NULL,
    PRIMARY KEY (print, place)
) STRICT;

CREATE TABLE reading (
    print TEXT NOT NULL COLLATE NOCASE,
    feature INTEGER NOT NULL,
    place INTEGER NOT NULL,
    mm REAL NOT NULL,
    PRIMARY KEY (print, feature, place),
    FOREIGN KEY (print, feature) REFERENCES feature (print, place) ON DELETE CASCADE ON UPDATE CASCADE
) STRICT;

-- The joint as it was asked, as JSON; empty for trials recorded before it was kept.
ALTER TABLE trial ADD COLUMN question TEXT;
ALTER TABLE trial ADD COLUMN rung_side TEXT;
ALTER TABLE trial ADD COLUMN mate_drawn REAL;
ALTER TABLE trial ADD COLUMN mate_plastic TEXT;
