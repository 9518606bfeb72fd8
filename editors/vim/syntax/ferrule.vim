" Made from the program's own tables by `editor_files`: do not edit by hand.
if exists("b:current_syntax") | finish | endif
syntax iskeyword @,48-57,_,-
syntax keyword ferruleValue I II III adapter agricultural aluminium apart automatic back bare battery behind black blue
syntax keyword ferruleValue boat both bottom brown built-in clamped closed closes commercial conductor copper correct
syntax keyword ferruleValue covered crimped damp dead detects down dry dwelling exposed facade ferrule fine floating
syntax keyword ferruleValue flush foundation front generator green green-yellow grey grid grid-tied ground-mount hose
syntax keyword ferruleValue hybrid immersion in-building independent industrial insulated interrupts left live lug lying
syntax keyword ferruleValue max metal minus mppt no off one open opens orange other overhead parallel per pin plastic
syntax keyword ferruleValue plate plug plus pole-mount public pwm raised red restricted reversed right ring rod roof
syntax keyword ferruleValue series sheltered side sideways silicon socket spray spring stc swaying thin-film top up
syntax keyword ferruleValue upright vehicle vibration violet waves wet white yellow yes
syntax keyword ferruleJoining and as at because by core ends for from in is none of on supplied to until via with x
syntax match ferruleProperty /\%(^\|[{;]\)\s*\zs\%(above-roof\|absorb\|access\|age\|albedo\|altitude\|ambient\|arc-fault\|array\|atmosphere\|aux\|back\|backfeed\|balances\|because\|bifacial\|blocks-backfeed\|breaking\|breaks-load\|building\|built-in-fuse\|buried\|by\|capacity\|category\|category-free\|cell\|cells\|charge\|charge-temperature\|chemistry\|circuits\|clamps\|class\|close\|cold-cut-off\|coldest\|colour\|commands-charge\|conduit\|contact\|continuous\|continuous-duty\|continuous-to-earth\|converts\|cores\|critical-current\|current\|cut-off\|dead\|depth\|derate\|diameter\|discharge\|divided\|door\|drilled\|drop\|earthing\|efficiency\|electronics\|end\|ends\|ends-marked\|enters\|entry\|equalise\|face\|facing\|family\|fixed\|float\|for\|frame\|frames\|frequency\|front\|fuse-poles\|ground-fault\|half\|headroom\|heated\|heater\|height\|height-above-floor\|holes\|hottest\|hottest-cell\|imp\|impulse\|in-sight\|indoors\|ingress\|insert\|inside\|insulation\|internal\|irradiance-factor\|isc\|isolated\|isolates\|join\|jumpers\|lead\|lead-rated\|left\|length\|lightning\|lightning-protection\|line\|lines\|lists\|lock\|lockable\|loss\|low-temperature-stop\|lower\|mass\|material\|mates-with\|max-current\|max-fuse\|max-isc\|max-power\|max-string\|max-system\|max-voltage\|measure\|measures\|metal\|min-voltage\|minus\|mount\|mounted\|movement\|neutral\|nominal\|note\|open\|operating\|out\|outdoor\|outdoors\|outside\|oversize\|peak\|pests\|plated\|plus\|pmax\|polarised\|polarity\|polarity-free\|pole\|positions\|power\|precharge\|protection-class\|protective\|prove\|rain-hub\|rated\|rated-ac\|remove\|resistance\|revision\|right\|runs-without-battery\|section\|set\|shade\|shares-array\|short-circuit\|shroud\|side-by-side\|size\|snow\|spaced\|spare\|standard\|start\|starter\|strands\|sun\|support\|surge\|switch\|switched\|takes\|technology\|terminal\|terminal-temperature\|thread\|through\|tilt\|together\|together-with\|torque\|trackers\|tracking\|tray\|trips\|type\|units\|unlock\|until\|upper\|via\|vmp\|voc\|voltage\|wait\|warns\|water\|ways\|width\|withstands\)\>/
syntax match ferruleKeyword /\%(^\|[{;]\)\s*\zs\%(accept\|assembly\|bond\|cable\|device\|earth\|edition\|enclosure\|except\|gang\|include\|jumper\|label\|part\|place\|port\|reading\|repeat\|run\|site\|steps\|string\)\>/
syntax match ferruleKind /\%(\<is\s\+\)\@<=\%(ac-in\|ac-out\|array\|battery\|box\|breaker\|breather\|busbar\|cable\|connector\|controller\|diode\|earth-bar\|electrode\|fuse\|fuse-holder\|gland\|instrument\|insulation-monitor\|inverter\|isolator\|lead\|links\|load\|metalwork\|module\|module-converter\|plug\|rcd\|sensor\|shunt\|supply\|surge-protector\)\>/
syntax match ferruleNumber /\%([A-Za-z0-9_-]\|[^.]\.\)\@<![-+]\?\d\+\%(\.\d\+\)\?/
syntax match ferruleDate /\<\d\{4}-\d\{2}-\d\{2}\>/
syntax match ferruleTerminal /\%([A-Za-z0-9_\]]\)\@<=\.[A-Za-z0-9_+\/-]\+/
syntax match ferruleArrow / \zs->\ze /
syntax region ferruleText start=/"/ skip=/\\["\\]/ end=/"/ oneline
syntax match ferruleComment /#.*$/ contains=@Spell
highlight default link ferruleKeyword Statement
highlight default link ferruleJoining Keyword
highlight default link ferruleKind Type
highlight default link ferruleProperty Identifier
highlight default link ferruleValue Constant
highlight default link ferruleNumber Number
highlight default link ferruleDate Number
highlight default link ferruleTerminal Special
highlight default link ferruleArrow Operator
highlight default link ferruleText String
highlight default link ferruleComment Comment
let b:current_syntax = "ferrule"
