# %% [markdown]
# # Seven parcels of native seed, planned from Python
#
# A crew borrows a drill for a week of restoration work. Run this cell by cell in the folder of the sample fields.

# %%
import tomllib
from pathlib import Path

import geopandas as gpd
import pandas as pd

import fieldplan

# %% The parcels may come from anywhere: here from a zipped Shapefile in UTM, with their ids as the index.
parcels = gpd.read_file("restoration.zip").set_index("field_id")
parcels[["name", "mix"]]

# %% The plan: its short answer, a table and maps.
plan = fieldplan.plan(parcels, "restoration.toml", today="2027-04-01")
plan

# %% What to look at before using any number.
plan.warnings

# %% The same layers that a desktop map opens are frames.
layers = plan.layers()
sown = layers["fields"].set_index("field_id")
hours = (sown["field_s"] / 3600).round(1)
hours

# %% How much of the driving is done with the drill lifted?
lifted_percent = (100 * sown["lifted_m"] / (sown["sown_m"] + sown["lifted_m"])).round(1)
lifted_percent

# %% Which ground is missed, in square meters, largest piece first?
missed = layers["missed"].sort_values("missed_m2", ascending=False)
missed.head()

# %% Would another speed pay? A job is a mapping as well: change a value and plan again.
job = tomllib.loads(Path("restoration.toml").read_text(encoding="utf-8"))
speeds = ["3 mph", "4 mph", "5 mph"]
job_hours = pd.Series(index=speeds, dtype=float, name="hours")
for speed in speeds:
    job["working"]["field_speed"] = speed
    faster = fieldplan.plan(parcels, job, today="2027-04-01")
    job_hours[speed] = faster.model.job_time.job_s / 3600
job_hours.round(1)

# %% A wet corner of one parcel is found on the day: plan round it.
wet = parcels.loc[["RP-4"], ["geometry"]].assign(reason="wet")
wet["geometry"] = wet.representative_point().buffer(40)
drier = fieldplan.plan(parcels, "restoration.toml", exclusions=wet, today="2027-04-01")
drier.fields["RP-4"].field.excluded_by_reason_m2

# %% Files for the crew: a page with maps, and lines for a handheld.
written = drier.write("plans", "page", "gpx")
[path.name for path in written]
