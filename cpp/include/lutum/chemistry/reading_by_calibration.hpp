// A content read off the user's own calibration: precipitate, turbidity, refraction, colour, whatever was calibrated.
#pragma once

#include "lutum/core/calculation.hpp"

namespace lutum::inline LUTUM_ISA_TAG::chemistry {

struct ReadingByCalibration : Calculation<ReadingByCalibration> {
  static constexpr std::size_t most_points = 12;
  template <class T>
  using List = std::array<T, most_points>;

  template <class T>
  struct Input {
    List<T> calibration_reading = filled<T, most_points>(not_a_number);
    List<T> calibration_content = filled<T, most_points>(not_a_number);
    T sample_reading = T(not_a_number);
  };

  template <class T>
  struct Result {
    T content;
  };

  static constexpr std::array inputs{
      Variable{.name = "calibration_reading", .symbol = "x_{#}", .quantity = Quantity::number,
               .meaning = "readings of the calibration samples, rising, 2 to 12, all in one unit", .limits = {-1e6, 1e6},
               .validated = {-1000.0, 1000.0}, .length = most_points},
      Variable{.name = "calibration_content", .symbol = "y_{#}", .quantity = Quantity::number,
               .meaning = "what each calibration sample holds, in the unit the content is wanted in", .limits = {0.0, 1e9}, .validated = {0.0, 1e6},
               .length = most_points},
      Variable{.name = "sample_reading", .symbol = "x", .quantity = Quantity::number,
               .meaning = "reading of the sample, in the unit of the calibration", .limits = {-1e6, 1e6}, .validated = {-1000.0, 1000.0}},
  };

  static constexpr std::array results{
      Variable{.name = "content", .symbol = "y", .quantity = Quantity::number,
               .meaning = "content of the sample in the unit of the calibration's contents, between the two calibration points beside its reading"},
  };

  static constexpr Sheet sheet{
      .id = "chemistry.reading_by_calibration",
      .title = "Content by the user's own calibration",
      .answers = "What content does a reading stand for, by a calibration made with known samples?",
      .equations = "y = y1 + (y2 - y1) (x - x1) / (x2 - x1) between neighbouring points",
      .source = "Straight line between two points (derived). Used where a test has no factor of its own: potassium by precipitate, sulfate by "
                "turbidity, polymer, silicate or glycol by refraction or colour (common practice, no source).",
      .assumptions = "Calibration and sample were made alike: same reagents, volumes, centrifuge, temperature, base fluid. Points stand in the "
                     "order of rising readings. Nothing is read beyond the first or the last point: dilute the sample or calibrate further. A "
                     "curved calibration wants points close together.",
      .cautions = "The calibration belongs to one batch of reagents and one instrument: repeat it when they change. Perchlorate salts with organic "
                  "dust burn or explode, barium chloride is poisonous: keep wet, collect the waste, follow local rules and the laboratory's own "
                  "procedure.",
  };

  static constexpr std::array verdicts{
      Verdict{"within_calibration", "the reading lies between two calibration points"},
      Verdict{"uneven_calibration", "the contents of the calibration neither rise nor fall all along: check for exchanged samples",
              Severity::caution},
      Verdict{"below_calibration", "the reading lies below the first calibration point: nothing is read there", Severity::caution},
      Verdict{"above_calibration", "the reading lies above the last calibration point: dilute the sample, or calibrate further", Severity::caution},
      Verdict{"calibration_not_rising", "the calibration readings do not rise from point to point, or two are equal: sort them, and settle repeated "
                                        "points first", Severity::impossible},
      Verdict{"missing", "the reading is missing, the calibration has fewer than two points, or a point beside the reading is incomplete"},
  };

  static std::int8_t judge(const Input<double>& in, const Result<double>& r) {
    const auto& x = in.calibration_reading;
    const auto& y = in.calibration_content;
    double lowest = infinity, highest = -infinity;
    int points = 0;
    bool rises = false, falls = false;
    for (std::size_t i = 0; i < most_points; ++i) {
      if (x[i] <= highest) return 4;
      if (x[i] == x[i]) highest = x[i];
      if (!(x[i] + y[i] == x[i] + y[i])) continue;
      lowest = points == 0 ? x[i] : lowest;
      ++points;
      for (std::size_t j = i + 1; j < most_points; ++j) {
        rises = rises || y[j] > y[i];
        falls = falls || y[j] < y[i];
      }
    }
    if (points < 2 || !(in.sample_reading == in.sample_reading)) return 5;
    if (in.sample_reading < lowest) return 2;
    if (in.sample_reading > highest) return 3;
    if (!(r.content == r.content)) return 5;
    return rises && falls ? 1 : 0;
  }

  static constexpr Input<double> example() {
    Input<double> in;
    const std::array<double, 5> readings{31, 110, 250, 480, 900};
    const std::array<double, 5> contents{5, 20, 50, 100, 200};
    for (std::size_t i = 0; i < readings.size(); ++i) {
      in.calibration_reading[i] = readings[i];
      in.calibration_content[i] = contents[i];
    }
    in.sample_reading = 340.0;
    return in;
  }

  template <class T>
  static constexpr Result<T> evaluate(const Input<T>& in) {
    const auto& x = in.calibration_reading;
    const auto& y = in.calibration_content;
    T content(not_a_number);
    auto rising = in.sample_reading == in.sample_reading;
    for (std::size_t i = 0; i + 1 < most_points; ++i) {
      const T line = y[i] + (y[i + 1] - y[i]) * (in.sample_reading - x[i]) / (x[i + 1] - x[i]);
      const auto above = x[i] <= in.sample_reading, below = in.sample_reading <= x[i + 1];
      content = select(above & below, line, content);
      for (std::size_t j = i + 1; j < most_points; ++j) {
        const auto falls = x[j] <= x[i];
        rising = rising & !falls;
      }
    }
    return {only_if(rising, content)};
  }
};

inline constexpr ReadingByCalibration reading_by_calibration{};

}  // namespace lutum::inline LUTUM_ISA_TAG::chemistry
