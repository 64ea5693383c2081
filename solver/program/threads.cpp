// SPDX-License-Identifier: MIT
#include "solver/program/threads.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace opisthion::program {

study::ForEach on_threads(int threads, std::function<void()> done) {
  return [threads, done = std::move(done)](int count, const std::function<void(int)>& work) {
    std::atomic<int> next{0};
    std::exception_ptr failure;
    std::mutex guard;
    const auto run = [&]() {
      for (int i = next.fetch_add(1); i < count; i = next.fetch_add(1)) {
        try {
          work(i);
          done();
        } catch (...) {
          const std::lock_guard<std::mutex> lock(guard);
          if (!failure) failure = std::current_exception();
        }
      }
    };
    const int extra = std::min(threads, count) - 1;  // this thread works, too
    std::vector<std::thread> pool;
    for (int i = 0; i < extra; ++i) pool.emplace_back(run);
    run();
    for (std::thread& thread : pool) thread.join();
    if (failure) std::rethrow_exception(failure);
  };
}

int hardware_threads() {
  return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

}  // namespace opisthion::program
