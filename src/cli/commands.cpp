#include "cli/commands.hpp"

#include <algorithm>

namespace phasewright::cli {

namespace {

const std::vector<Command>& table_of_commands() {
  static const std::vector<Command> table{
      {"pose",
       "the whole drive at one crank angle",
       "Where every mark, strand, valve and piston stands. Crank 0 is No. 1 at overlap TDC, between its exhaust "
       "and inlet strokes. Turned backward, the chain's other side pulls and the camshafts hang back.\n",
       "phasewright pose models/sandling-14.build.toml --crank 110  # inlet valve of No. 1 wide open",
       {Takes::crank, Takes::turned},
       pose_command},
      {"phase",
       "where the as-fitted camshaft stands, and why",
       "Phase is the crank degrees by which the camshaft stands ahead of the maker's reference assembly:\n"
       "+ = advanced, every event earlier; - = retarded. Each cause is figured; together they are the phase.\n\n"
       "With --spread: where it may come to stand before anything is fitted, every part out by anything up to its "
       "tolerance. The file's table [tolerance] says how much that is.\n",
       "phasewright phase models/sandling-14.build.toml --set fitted.lay=1  # what one tooth would do",
       {Takes::phase},
       phase_command},
      {"chain",
       "the chain and its sprockets: wear, centres, and what can be counted",
       "Sizes of chain and sprockets, what wear does up to the limit, which links fit the centres, pins between the "
       "marks. Ends with 1 when the chain is out of limits: worn, climbing, or its tensioner run out.\n",
       "phasewright chain models/sandling-14.build.toml --centre-change -0.2  # facing 0.2 mm off",
       {Takes::chain},
       chain_command},
      {"events",
       "valve events, at check lift and with the lash taken up",
       "Of cylinder No. 1 or any other, in crank degrees; at further lifts with --lift. Overlap, lobe centres and "
       "compression with them; the cranking pressure is an estimate, and says what it takes for granted.\n",
       "phasewright events models/sandling-14.build.toml --lift 1 --at valve  # at 1 mm of valve lift too",
       {Takes::events},
       events_command},
      {"clearance",
       "least clearance of the valves to piston and each other, now and with the chain worn",
       "Along each valve's axis and in any direction, with what they are good for and how far the camshaft may be "
       "moved. Ends with 1 when a clearance is below its limit.\n",
       "phasewright clearance --set fitted.crank_key_deg=-4  # an offset key, 4° crank retarding",
       {Takes::clearance},
       clearance_command},
      {"plan",
       "every correction the stock allows, best first",
       "Safe ones first, then the least error, then the fewest parts changed. Ends with 1 when none is safe.\n",
       "phasewright plan models/sandling-14.build.toml --top 3  # the three best",
       {Takes::plan},
       plan_command},
      {"fit",
       "puts an option of the plan into the build and saves it",
       "What is fitted changes; readings taken before go into the history with what was fitted then. An option that is "
       "not safe is refused, and ends with 1.\n",
       "phasewright fit --option 1 -o sandling-new.build.toml  # the plan's best, in a new file",
       {Takes::fit},
       fit_command},
      {"keep",
       "puts the readings by, dated, so that the next can be compared with them",
       "They go into the build file's history with what was fitted when they were taken; degree --against compares.\n",
       "phasewright keep --note \"before the new key\" -o sandling-new.build.toml",
       {Takes::keep},
       keep_command},
      {"align",
       "shims from the straight-edge: both sprockets in one plane",
       "What a feeler showed under a straight-edge, the shims it takes behind the crank sprocket, what is left over "
       "and "
       "what to see when it is read again. Ends with 1 when the shims at hand do not bring it within its limit, or the "
       "sprockets are tilted.\n",
       "phasewright align models/sandling-14.build.toml --set stock.shim_mm=[0.4,0.5]  # with these alone",
       {},
       align_command},
      {"endfloat",
       "the camshaft's end float against its limits, and what to change",
       "The mean of the indicator's readings and what it may be out by; the verdict is only as firm as they are. Ends "
       "with 1 when it is out of limits.\n",
       "phasewright endfloat --set measured.float_mm=[0.08,0.08,0.09]  # hardly enough",
       {},
       end_float_command},
      {"key",
       "how each key sits in its keyways; an offset key's step for an angle, and back",
       "Room over the key and play beside it, by what was measured or else by the standard. Angles are degrees of the "
       "key's own shaft. Ends with 1 when a key wants work before the sprocket goes on.\n",
       "phasewright key --at cam --deg 2  # the step to cut, and which way it faces",
       {Takes::key},
       key_command},
      {"degree",
       "where wheel and indicator say the camshafts stand, and how sure that is",
       "The wheel's zero from the piston stop, lobe centres and phase from the lobe readings, each with what it may be "
       "out by, and whether a difference is real. Ends with 1 when readings were clearly written down wrongly.\n",
       "phasewright degree models/sandling-14.build.toml --against last  # before and after line boring",
       {Takes::against},
       degree_command},
      {"explain",
       "which faults explain the readings, how likely each is, and what to read next",
       "All readings of the build at once against what they would be with the chain laid wrongly, a key turned round, "
       "the wheel moved and the like, one fault or two. Ends with 1 when nothing that is weighed fits.\n",
       "phasewright explain models/curlew-7.build.toml  # what the job card does not say",
       {},
       explain_command},
      {"drill",
       "a fault drill for an apprentice: the job card of an engine with something wrong that is hidden",
       "The fault is drawn by seed and level, the same on every machine; the sheet does not say it. With --readings: "
       "what a careful apprentice reads. With --answers: what was wrong, what readings can and cannot tell, the cure, "
       "and how explain would have gone. With --count a form feed stands between the pages. FILE's own readings and "
       "target are left aside.\n",
       "phasewright drill models/sandling-14.build.toml --seed 7 --level 2 --readings",
       {Takes::drill},
       drill_command},
      {"export",
       "an animated 3D model (glTF 2.0), curves (CSV) or all answers (JSON) for other programs",
       "FILE.glb: every part by name, moving through one engine cycle in 12 s, in metres. Ends with 1 when what it "
       "shows is not safe.\n"
       "FILE.csv: of the cycle: angles, lifts, piston, volume and clearances of No. 1. Of phase: the least clearances "
       "against it. Of the lobe: lift and outline. Lines that begin with # say units and signs.\n"
       "FILE.json: what pose to explain answer with --json, or why one cannot.\n",
       "phasewright export -o planned.glb --plan 1  # the demo with the plan's best option",
       {Takes::curves},
       export_command},
      {"lesson",
       "short guided walks for an apprentice, as class sheets; and trying one that a teacher wrote",
       "Without a name, all lessons with how long each takes. With a name or a file, that lesson to be read or "
       "printed, "
       "with --answers for the teacher. With --check its answers and wrong answers are tried on the engine it works "
       "on, "
       "and the first fault of each step is told with file and line.\n",
       "phasewright lesson four-strokes --answers  # the teacher's sheet",
       {Takes::lesson},
       lesson_command},
#ifdef PHASEWRIGHT_PAPER
      {"wheel",
       "a degree wheel to print at true size, with a line to check it by",
       "The wheel turns with the crank past a pointer that stands still, so its figures run against the crank: for an "
       "engine that runs clockwise, seen from the timing end, they run anticlockwise. With --events the valve events "
       "stand on it. A wheel larger than the page comes in tiles with joining marks and a plan of them. Ends with 1 "
       "when "
       "the events on it are of what is not safe.\n",
       "phasewright wheel models/sandling-14.build.toml -o wheel.pdf --bore 28 --events",
       {Takes::wheel},
       wheel_command},
      {"keycard",
       "a card for each key: its step 10:1, which way it faces, and the same in words",
       "Of the keys as they are fitted, or as option K of the plan has them: the step with its dimensions, the shaft's "
       "end with the keyway at its clock angle and the running direction, and the key at true size. Ends with 1 when "
       "they are of what is not safe.\n",
       "phasewright keycard models/sandling-14.build.toml --plan 1 -o keycard.pdf  # the key to make",
       {Takes::key_card},
       key_card_command},
      {"sheet",
       "the build sheet: the correction and why, readings, events, clearances, a checklist",
       "For the customer and the bench, on paper or as one web page. It plans the plan's best option, another with "
       "--plan, or records what is fitted with --record. Ends with 1 when it is not safe or something is out of "
       "limits.\n",
       "phasewright sheet models/sandling-14.build.toml -o sheet.pdf  # three pages",
       {Takes::sheet},
       sheet_command},
#endif
#ifdef PHASEWRIGHT_VIEWER
      {"picture",
       "the drive drawn into a PNG file; needs no display",
       "With --plan the option of that number is drawn solid and what is fitted now as a ghost beside it. Ends with 1 "
       "when what it shows is not safe.\n",
       "phasewright picture -o key.png --window --from key --magnify 6  # which way the key's step faces",
       {Takes::crank, Takes::turned, Takes::picture},
       picture_command},
      {"film",
       "the drive moving, drawn into an MP4 or GIF or into a PNG file for each frame; needs no display",
       "Of one cycle from --crank on, of a correction going in, or of the drive taken apart and put together. Ctrl+C "
       "cancels: nothing is left behind then, and it ends with 130. Ends with 1 when what it goes over to is not "
       "safe.\n",
       "phasewright film models/sandling-14.build.toml -o turn.mp4 --plan 1  # what is fitted beside it as a ghost",
       {Takes::crank, Takes::turned, Takes::film},
       film_command},
      {"view",
       "opens the viewer (so does no command at all)",
       "A window with the turning drive and all its figures. The plan's best option is tried at first, or option K.\n",
       "phasewright view models/sandling-14.build.toml --theme night  # in a dark workshop",
       {Takes::crank, Takes::window},
       view_command},
#endif
  };
  return table;
}

} // namespace

std::span<const Command> commands() {
  return table_of_commands();
}

const Command* find_command(const std::string& name) {
  const auto found = std::ranges::find(commands(), name, &Command::name);
  return found == commands().end() ? nullptr : &*found;
}

} // namespace phasewright::cli
