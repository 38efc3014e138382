"""Reference tables, each row with its source: threads, holders, bulbs, plastics, glues, cords, fits."""
