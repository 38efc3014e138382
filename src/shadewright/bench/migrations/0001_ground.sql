-- What a maker prints with, how it comes out, and what was tried.
CREATE TABLE printer (
    name TEXT PRIMARY KEY COLLATE NOCASE,
    bed_x REAL NOT NULL,
    bed_y REAL NOT NULL,
    bed_z REAL NOT NULL,
    speed_mm_s REAL NOT NULL,
    acceleration_mm_s2 REAL NOT NULL,
    least_layer_s REAL NOT NULL,
    warm_up_s REAL NOT NULL,
    source TEXT NOT NULL
) STRICT;

-- Nozzles a printer has; place 0 is the one that is fitted.
CREATE TABLE nozzle (
    printer TEXT NOT NULL COLLATE NOCASE REFERENCES printer (name) ON DELETE CASCADE ON UPDATE CASCADE,
    place INTEGER NOT NULL,
    bore REAL NOT NULL,
    PRIMARY KEY (printer, place)
) STRICT;

-- "family" names the built-in plastic whose habits and heat limits stand in until this one was measured.
CREATE TABLE plastic (
    name TEXT PRIMARY KEY COLLATE NOCASE,
    family TEXT NOT NULL,
    density_g_cm3 REAL NOT NULL,
    flow_limit_mm3_s REAL NOT NULL,
    price_per_kg REAL,
    source TEXT NOT NULL
) STRICT;

CREATE TABLE habit (
    printer TEXT NOT NULL COLLATE NOCASE REFERENCES printer (name) ON DELETE CASCADE ON UPDATE CASCADE,
    nozzle REAL NOT NULL,
    plastic TEXT NOT NULL COLLATE NOCASE REFERENCES plastic (name) ON DELETE CASCADE ON UPDATE CASCADE,
    outer_growth REAL NOT NULL,
    outer_growth_sd REAL NOT NULL,
    hole_shrink REAL NOT NULL,
    hole_shrink_sd REAL NOT NULL,
    hole_curl REAL NOT NULL,
    hole_curl_sd REAL NOT NULL,
    scale_xy REAL NOT NULL,
    scale_xy_sd REAL NOT NULL,
    scale_z REAL NOT NULL,
    scale_z_sd REAL NOT NULL,
    flare REAL NOT NULL,
    flare_sd REAL NOT NULL,
    scatter REAL NOT NULL,
    source TEXT NOT NULL,
    PRIMARY KEY (printer, nozzle, plastic)
) STRICT;

-- A trial outlives the printer it was made on: names are kept as they were.
CREATE TABLE trial (
    name TEXT PRIMARY KEY COLLATE NOCASE,
    lamp TEXT NOT NULL,
    joint TEXT NOT NULL,
    kind TEXT NOT NULL,
    printer TEXT NOT NULL,
    nozzle REAL NOT NULL,
    plastic TEXT NOT NULL,
    made_on TEXT NOT NULL
) STRICT;

CREATE TABLE rung (
    trial TEXT NOT NULL COLLATE NOCASE REFERENCES trial (name) ON DELETE CASCADE ON UPDATE CASCADE,
    number INTEGER NOT NULL,
    drawn REAL NOT NULL,
    clearance REAL NOT NULL,
    outcome TEXT,
    PRIMARY KEY (trial, number)
) STRICT;

INSERT INTO printer VALUES
    ('built-in', 220, 220, 250, 50, 1000, 8, 240, 'common practice for a small open printer, no source');
INSERT INTO nozzle VALUES ('built-in', 0, 0.4);

-- Flow limits: what a 0.4 mm nozzle melts without effort; common practice, no source.
INSERT INTO plastic VALUES
    ('PLA', 'PLA', 1.24, 11, NULL, 'density: typical published data sheet; flow limit: common practice, no source'),
    ('PETG', 'PETG', 1.27, 8, NULL, 'density: typical published data sheet; flow limit: common practice, no source'),
    ('ABS', 'ABS', 1.04, 11, NULL, 'density: Processes 2025, 13(9) 2733; flow limit: common practice, no source'),
    ('ASA', 'ASA', 1.07, 11, NULL, 'density: data sheets, from memory; flow limit: common practice, no source'),
    ('PC', 'PC', 1.20, 8, NULL, 'density: data sheets, from memory; flow limit: common practice, no source'),
    ('PA12', 'PA12', 1.01, 8, NULL, 'density: data sheets, from memory; flow limit: common practice, no source'),
    ('TPU', 'TPU', 1.21, 3.5, NULL, 'density: data sheets, from memory; flow limit: common practice, no source');
