-- A bench as the first version of the program left it: never to be changed.
CREATE TABLE printer (
    name TEXT PRIMARY KEY COLLATE NOCASE, bed_x REAL NOT NULL, bed_y REAL NOT NULL, bed_z REAL NOT NULL,
    speed_mm_s REAL NOT NULL, acceleration_mm_s2 REAL NOT NULL, least_layer_s REAL NOT NULL,
    warm_up_s REAL NOT NULL, source TEXT NOT NULL
) STRICT;
CREATE TABLE nozzle (
    printer TEXT NOT NULL COLLATE NOCASE REFERENCES printer (name) ON DELETE CASCADE ON UPDATE CASCADE,
    place INTEGER NOT NULL, bore REAL NOT NULL, PRIMARY KEY (printer, place)
) STRICT;
CREATE TABLE plastic (
    name TEXT PRIMARY KEY COLLATE NOCASE, family TEXT NOT NULL, density_g_cm3 REAL NOT NULL,
    flow_limit_mm3_s REAL NOT NULL, price_per_kg REAL, source TEXT NOT NULL
) STRICT;
CREATE TABLE habit (
    printer TEXT NOT NULL COLLATE NOCASE REFERENCES printer (name) ON DELETE CASCADE ON UPDATE CASCADE,
    nozzle REAL NOT NULL,
    plastic TEXT NOT NULL COLLATE NOCASE REFERENCES plastic (name) ON DELETE CASCADE ON UPDATE CASCADE,
    outer_growth REAL NOT NULL, outer_growth_sd REAL NOT NULL, hole_shrink REAL NOT NULL,
    hole_shrink_sd REAL NOT NULL, hole_curl REAL NOT NULL, hole_curl_sd REAL NOT NULL,
    scale_xy REAL NOT NULL, scale_xy_sd REAL NOT NULL, scale_z REAL NOT NULL, scale_z_sd REAL NOT NULL,
    flare REAL NOT NULL, flare_sd REAL NOT NULL, scatter REAL NOT NULL, source TEXT NOT NULL,
    PRIMARY KEY (printer, nozzle, plastic)
) STRICT;
CREATE TABLE trial (
    name TEXT PRIMARY KEY COLLATE NOCASE, lamp TEXT NOT NULL, joint TEXT NOT NULL, kind TEXT NOT NULL,
    printer TEXT NOT NULL, nozzle REAL NOT NULL, plastic TEXT NOT NULL, made_on TEXT NOT NULL
) STRICT;
CREATE TABLE rung (
    trial TEXT NOT NULL COLLATE NOCASE REFERENCES trial (name) ON DELETE CASCADE ON UPDATE CASCADE,
    number INTEGER NOT NULL, drawn REAL NOT NULL, clearance REAL NOT NULL, outcome TEXT,
    PRIMARY KEY (trial, number)
) STRICT;
INSERT INTO printer VALUES ('built-in', 220, 220, 250, 50, 1000, 8, 240, 'common practice');
INSERT INTO printer VALUES ('attic', 180, 170, 160, 60, 1500, 8, 200, 'stated by the maker');
INSERT INTO nozzle VALUES ('built-in', 0, 0.4), ('attic', 0, 0.6), ('attic', 1, 0.4);
INSERT INTO plastic VALUES ('PLA', 'PLA', 1.24, 11, NULL, 'data sheet'), ('matte', 'PLA', 1.3, 9, 22.5, 'stated');
INSERT INTO habit VALUES
    ('attic', 0.4, 'matte', 0.03, 0.01, 0.1, 0.02, 1.2, 0.1, 0.998, 0.001, 1, 0.001, 0.1, 0.03, 0.02, 'nine bores');
INSERT INTO trial VALUES ('neck, first', 'porch', 'neck', 'slide', 'attic', 0.4, 'matte', '2025-03-09');
INSERT INTO rung VALUES ('neck, first', 1, 40.2, 0.2, 'tight'), ('neck, first', 2, 40.4, 0.4, NULL);
PRAGMA application_id = 1399342178;
PRAGMA user_version = 1;
