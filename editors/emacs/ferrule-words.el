;;; ferrule-words.el --- words of the language  -*- lexical-binding: t -*-

;;; Commentary:
;; Made from the program's own tables by `editor_files': do not edit by hand.

;;; Code:

(defconst ferrule-keywords
  '("accept" "assembly" "bond" "cable" "device" "earth" "edition" "enclosure" "except" "gang"
    "include" "jumper" "label" "part" "place" "port" "reading" "repeat" "run" "site" "steps"
    "string")
  "Words that open a statement.")

(defconst ferrule-joining-words
  '("and" "as" "at" "because" "by" "core" "ends" "for" "from" "in" "is" "none" "of" "on" "supplied"
    "to" "until" "via" "with" "x")
  "Words that join the pieces of a statement.")

(defconst ferrule-kinds
  '("ac-in" "ac-out" "array" "battery" "box" "breaker" "breather" "busbar" "cable" "connector"
    "controller" "diode" "earth-bar" "electrode" "fuse" "fuse-holder" "gland" "instrument"
    "insulation-monitor" "inverter" "isolator" "lead" "links" "load" "metalwork" "module"
    "module-converter" "plug" "rcd" "sensor" "shunt" "supply" "surge-protector")
  "Kinds of parts and roles of ports.")

(defconst ferrule-properties
  '("above-roof" "absorb" "access" "age" "albedo" "altitude" "ambient" "arc-fault" "array"
    "atmosphere" "aux" "back" "backfeed" "balances" "because" "bifacial" "blocks-backfeed"
    "breaking" "breaks-load" "building" "built-in-fuse" "buried" "by" "capacity" "category"
    "category-free" "cell" "cells" "charge" "charge-temperature" "chemistry" "circuits" "clamps"
    "class" "close" "cold-cut-off" "coldest" "colour" "commands-charge" "conduit" "contact"
    "continuous" "continuous-duty" "continuous-to-earth" "converts" "cores" "critical-current"
    "current" "cut-off" "dead" "depth" "derate" "diameter" "discharge" "divided" "door" "drilled"
    "drop" "earthing" "efficiency" "electronics" "end" "ends" "ends-marked" "enters" "entry"
    "equalise" "face" "facing" "family" "fixed" "float" "for" "frame" "frames" "frequency" "front"
    "fuse-poles" "ground-fault" "half" "headroom" "heated" "heater" "height" "height-above-floor"
    "holes" "hottest" "hottest-cell" "imp" "impulse" "in-sight" "indoors" "ingress" "insert"
    "inside" "insulation" "internal" "irradiance-factor" "isc" "isolated" "isolates" "join"
    "jumpers" "lead" "lead-rated" "left" "length" "lightning" "lightning-protection" "line" "lines"
    "lists" "lock" "lockable" "loss" "low-temperature-stop" "lower" "mass" "material" "mates-with"
    "max-current" "max-fuse" "max-isc" "max-power" "max-string" "max-system" "max-voltage" "measure"
    "measures" "metal" "min-voltage" "minus" "mount" "mounted" "movement" "neutral" "nominal" "note"
    "open" "operating" "out" "outdoor" "outdoors" "outside" "oversize" "peak" "pests" "plated"
    "plus" "pmax" "polarised" "polarity" "polarity-free" "pole" "positions" "power" "precharge"
    "protection-class" "protective" "prove" "rain-hub" "rated" "rated-ac" "remove" "resistance"
    "revision" "right" "runs-without-battery" "section" "set" "shade" "shares-array" "short-circuit"
    "shroud" "side-by-side" "size" "snow" "spaced" "spare" "standard" "start" "starter" "strands"
    "sun" "support" "surge" "switch" "switched" "takes" "technology" "terminal"
    "terminal-temperature" "thread" "through" "tilt" "together" "together-with" "torque" "trackers"
    "tracking" "tray" "trips" "type" "units" "unlock" "until" "upper" "via" "vmp" "voc" "voltage"
    "wait" "warns" "water" "ways" "width" "withstands")
  "What blocks may state.")

(defconst ferrule-values
  '("I" "II" "III" "adapter" "agricultural" "aluminium" "apart" "automatic" "back" "bare" "battery"
    "behind" "black" "blue" "boat" "both" "bottom" "brown" "built-in" "clamped" "closed" "closes"
    "commercial" "conductor" "copper" "correct" "covered" "crimped" "damp" "dead" "detects" "down"
    "dry" "dwelling" "exposed" "facade" "ferrule" "fine" "floating" "flush" "foundation" "front"
    "generator" "green" "green-yellow" "grey" "grid" "grid-tied" "ground-mount" "hose" "hybrid"
    "immersion" "in-building" "independent" "industrial" "insulated" "interrupts" "left" "live"
    "lug" "lying" "max" "metal" "minus" "mppt" "no" "off" "one" "open" "opens" "orange" "other"
    "overhead" "parallel" "per" "pin" "plastic" "plate" "plug" "plus" "pole-mount" "public" "pwm"
    "raised" "red" "restricted" "reversed" "right" "ring" "rod" "roof" "series" "sheltered" "side"
    "sideways" "silicon" "socket" "spray" "spring" "stc" "swaying" "thin-film" "top" "up" "upright"
    "vehicle" "vibration" "violet" "waves" "wet" "white" "yellow" "yes")
  "Words that stand as values.")

(defconst ferrule-units
  '("%" "%/K" "A" "A/K" "AWG" "Ah" "F" "Hz" "K" "MVA" "MW" "MWh" "Mohm" "N.m" "V" "V/K" "VA" "W"
    "W/m2" "Wh" "cm" "cm2" "day" "deg" "degC" "degF" "flashes/km2" "ft" "g" "h" "inch" "kA" "kAh"
    "kV" "kVA" "kW" "kWh" "kcmil" "kg" "km" "kohm" "lb" "lbf.ft" "lbf.in" "m" "m2" "mA" "mA/K" "mAh"
    "mF" "mV" "mV/K" "mW" "min" "mm" "mm2" "mohm" "ms" "nF" "ohm" "ohm/kft" "ohm/km" "s" "uA" "uF"
    "uohm" "year")
  "Units.")

(provide 'ferrule-words)
;;; ferrule-words.el ends here
