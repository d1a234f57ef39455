// The words of the page for what the analysis names.

export const stages = {
  "idle": "Waiting",
  "constant-current": "Constant current",
  "constant-voltage": "Constant voltage",
  "finish": "Finishing",
  "rest": "Resting",
};

export const outcomes = {
  "running": "Charging",
  "complete": "Complete",
  "cut-short": "Cut short",
  "no-charge": "No charge",
  "faulted": "Ended by an alarm",
};

// kinds are those of the marks of outcomes.
export const kinds = { running: "running", complete: "good", "cut-short": "warning", faulted: "alarm" };

export const endings = {
  "tail-current": "the current had fallen to its tail",
  "voltage-peak": "the voltage had peaked",
  "float": "the charger stepped down to a holding voltage",
  "current-stopped": "the current stopped",
  "log-ended": "the record ends there",
};

export const severities = { note: "Note", warning: "Warning", alarm: "Alarm" };

export const chemistries = {
  "lead-flooded": "lead-acid, flooded",
  "lead-agm": "lead-acid, AGM",
  "lead-gel": "lead-acid, gel",
  "li-ion": "lithium-ion",
  "lifepo4": "lithium iron phosphate",
  "nimh": "nickel-metal hydride",
  "nicd": "nickel-cadmium",
};
